package audit

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var massRule = kit.Rule{
	ID: "audit.mass", Title: "Mass against volume and material", Since: "0.1.0",
	Why:     "Mass bends boards and breaks slots in transport; kilograms in a field of grams hide that.",
	Formula: "The mass is held against the part's volume times the densities that such parts come to, or against what such parts weigh; an enclosure's also against the material of its own panels.",
	Sources: []source{densities, experience},
	Reads: []string{
		"mass_g", "chassis.width_mm", "chassis.height_mm", "chassis.depth_mm", "chassis.panels.extent", "chassis.panels.material",
		"card.length_mm", "card.height_mm", "card.thickness_mm", "air_cooler.height_mm", "air_cooler.width_mm", "air_cooler.depth_mm",
		"supply.length_mm", "supply.width_mm", "supply.height_mm", "fan.size_mm", "fan.thickness_mm", "board.width_mm", "board.depth_mm",
	},
	Texts: texts("The mass of {part} goes with its size.",
		"Whether the mass of {part} is plausible cannot be told without {missing}."),
	Remedies: remedies(),
	Cautions: map[string]string{
		"heavy": "A part of several kilograms breaks slots and boards in transport; support it or take it out before the computer is moved.",
	},
	Judge: each(judgeMass),
}

var densities = source{ID: "material-density", Title: "densities of steel, aluminium, glass and plastic by handbook", Standing: kit.CommonPractice.Standing, Witnesses: 1}

// density of panels in g/cm3; from memory, and the same in every handbook.
var density = map[string]float64{"steel": 7.85, "aluminium": 2.7, "glass": 2.5, "plastic": 1.05, "wood": 0.6, "mesh": 3}

func judgeMass(s *sheet) {
	if s.it.Part.MassG == nil {
		return
	}
	if low, high, ok := massOf(s.it.Part); ok {
		s.hold(figure{"mass_g", s.it.Part.MassG, "g", low, high,
			between("masses of such parts of that size", low, high, "g"), false})
	}
}

// massOf gives what a part of that kind and size weighs, in g. Where its size is
// not where such sizes lie, the size is what wants looking at. Shares of g/cm3
// are common practice, no source.
func massOf(part *v1.Part) (low, high float64, ok bool) {
	switch kind := part.GetKind().(type) {
	case *v1.Part_Chassis:
		return chassisMass(kind.Chassis)
	case *v1.Part_Card:
		return bulk(part, 0.25, 2.4)
	case *v1.Part_AirCooler:
		return bulk(part, 0.18, 1.7)
	case *v1.Part_Supply:
		return bulk(part, 0.4, 2.2)
	case *v1.Part_Board:
		b := kind.Board
		if b.WidthMm != nil && b.DepthMm != nil && inPlace(b, usualBoard[:2]) {
			area := *b.WidthMm * *b.DepthMm / 100
			return area * 0.7, area * 6, true
		}
	case *v1.Part_Fan:
		return fanMass(kind.Fan)
	case *v1.Part_Memory:
		n := float64(max(1, kind.Memory.GetModules()))
		return 8 * n, 79 * n, true
	case *v1.Part_Processor:
		return 15, 149, true
	case *v1.Part_Drive:
		switch kind.Drive.GetFormFactor() {
		case "m2":
			return 3, 150, true
		case "2.5-inch":
			return 25, 245, true
		case "3.5-inch":
			return 300, 1100, true
		}
	case *v1.Part_LiquidLoop:
		return loopMass(kind.LiquidLoop)
	}
	return 0, 0, false
}

// bulk holds a part with three published sides between two densities.
func bulk(part *v1.Part, low, high float64) (float64, float64, bool) {
	sides, ok := sidesOf(part)
	volume := sides[0] * sides[1] * sides[2] / 1000
	return volume * low, volume * high, ok
}

func fanMass(f *v1.Fan) (float64, float64, bool) {
	if f.SizeMm == nil || f.ThicknessMm == nil || *f.ThicknessMm < 8 || *f.ThicknessMm > 60 {
		return 0, 0, false
	}
	size := float64(*f.SizeMm)
	volume := size * size * *f.ThicknessMm / 1000
	return volume * 0.18, volume * 1.6, true
}

// loopMass goes by the row of fans that a loop is sold for.
func loopMass(l *v1.LiquidLoop) (float64, float64, bool) {
	nominal := l.GetRadiator().GetNominalMm()
	return float64(nominal) * 2.4, float64(nominal) * 10.5, nominal > 0
}

// chassisMass counts the panels where all have a material, else takes what small
// enclosures weigh by their volume.
func chassisMass(c *v1.Chassis) (float64, float64, bool) {
	if c.WidthMm == nil || c.HeightMm == nil || c.DepthMm == nil || !inPlace(c, usualChassis[:3]) {
		return 0, 0, false
	}
	litres := *c.WidthMm * *c.HeightMm * *c.DepthMm / 1e6
	low, high := litres*60, litres*700
	if panels, ok := panelMass(c.Panels); ok && panels*0.6 > low {
		low = min(panels*0.6, high/10)
	}
	return low, high, true
}

// panelMass is what the panels weigh by extent, openings and material, in g.
func panelMass(panels []*v1.Panel) (grams float64, ok bool) {
	for _, p := range panels {
		material, known := density[p.GetMaterial()]
		if !known {
			return 0, false
		}
		e := p.GetExtent()
		volume := e.GetSizeXMm() * e.GetSizeYMm() * e.GetSizeZMm()
		for _, o := range p.GetOpenings() {
			h := o.GetExtent()
			volume -= h.GetSizeXMm() * h.GetSizeYMm() * h.GetSizeZMm() * max(o.GetOpenShare(), 0)
		}
		grams += max(0, volume) / 1000 * material
	}
	return grams, len(panels) > 0
}
