package mounting

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

// usualMass is the mass of one piece in g where the document does not say, for
// parts that are light beside the whole (from memory, no source). What is heavy is
// never assumed.
var usualMass = map[kit.Kind]quantity.Range{
	kit.KindProcessor:   {Nominal: 50, Low: 25, High: 130},
	kit.KindMemory:      {Nominal: 80, Low: 25, High: 250},
	kit.KindFan:         {Nominal: 150, Low: 30, High: 350},
	kit.KindCable:       {Nominal: 80, Low: 20, High: 300},
	kit.KindRiser:       {Nominal: 100, Low: 40, High: 300},
	kit.KindAccessory:   {Nominal: 150, Low: 10, High: 600},
	kit.KindFastenerKit: {Nominal: 60, Low: 10, High: 200},
}

// usualM2Mass is that of an M.2 drive.
var usualM2Mass = quantity.Range{Nominal: 15, Low: 5, High: 80}

// massShare is how far a printed mass is off (common practice, no source).
const massShare = 0.02

// mass is the mass of all pieces of an item in g.
func (s *scene) mass(it *kit.Item) kit.Value {
	n := float64(it.Count)
	if it.Part == nil {
		return s.c.Absent(it.At("mass_g"), "g")
	}
	if m := it.Part.MassG; m != nil {
		v := s.c.Figure(it, "mass_g", m, "g", massShare**m)
		return v.With(quantity.Range{Nominal: n * v.Nominal, Low: n * v.Low, High: n * v.High}, "g")
	}
	usual, light := usualMass[it.Kind]
	if it.Kind == kit.KindDrive && it.Part.GetDrive().GetFormFactor() == "m2" {
		usual, light = usualM2Mass, true
	}
	if !light {
		return s.c.Absent(it.At("mass_g"), "g")
	}
	return s.c.Assume(it.At("mass_g"), quantity.Range{Nominal: n * usual.Nominal, Low: n * usual.Low, High: n * usual.High}, "g")
}

// wholeMass is the mass of the whole in kg. What lies in boxes for its screws only
// is not in the machine, and is left out.
func (s *scene) wholeMass() kit.Value {
	var sum quantity.Range
	parts := s.masses[:0]
	for it := range s.c.AllItems() {
		if it.Kind == kit.KindFastenerKit {
			continue
		}
		m := s.mass(it)
		sum = sum.Add(m.Range)
		parts = append(parts, m)
	}
	s.masses = parts
	return s.c.Derived(quantity.Range{Nominal: sum.Nominal / 1000, Low: sum.Low / 1000, High: sum.High / 1000}, "kg", parts...)
}
