package mounting

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var tippingSource = standards.Source{
	ID: "stability-tilt", Title: "IEC 62368-1, clause 8.6", Clause: "stability, tilt of 10 degrees", Standing: standards.Memory, Witnesses: 1,
}

var leastTilt = kit.Parameter{
	Name: "mounting.tipping.least_deg", Unit: "deg", Default: 10, Least: 1, Greatest: 60,
	Purpose: "How far the machine must lean over before it falls.",
	Source:  tippingSource,
}

var feetInset = kit.Parameter{
	Name: "mounting.tipping.feet_inset_mm", Unit: "mm", Default: 15, Least: 0, Greatest: 200,
	Purpose: "How far the middle of a foot lies inside of the enclosure's outline.",
	Source:  kit.CommonPractice,
}

// offCentreShare is how far the centre of mass may lie off the middle, as a share
// of width, depth and height, where no geometry tells (common practice, no source).
const offCentreShare = 0.12

var tippingRule = kit.Rule{
	ID: "mounting.tipping", Title: "How far the machine leans before it falls", Since: "0.1.0",
	Why: "A tall, narrow machine with a heavy cooler high up falls when a chair or a cable pulls at it.",
	Formula: "The angle at which the centre of mass stands over the feet of one side: its distance from them over its height above the floor. Where the arrangement " +
		"has boxes the centre of mass is worked out from them, else it is taken in the middle, give or take 12 %.",
	Sources:    []sourceOf{tippingSource, kit.CommonPractice},
	Reads:      []string{"chassis.width_mm", "chassis.height_mm", "chassis.depth_mm", "chassis.feet_mm", "accessory.feet_mm", "mass_g"},
	UsesFacts:  []string{factArrangement},
	Parameters: []*kit.Parameter{&leastTilt, &feetInset},
	Texts: map[string]string{
		"pass":     "The machine falls when it leans {measured}; {required} are asked for.",
		"marginal": "The machine may fall when it leans {measured}; {required} are asked for.",
		"fail":     "The machine falls when it leans only {measured}; {required} are asked for.",
		"unknown":  "How easily the machine falls cannot be told without {missing}; measure the enclosure's outside.",
	},
	Remedies: map[string]string{"stand": "Let it stand on its broad side, in a corner, or on feet that reach further out."},
	Cautions: map[string]string{"fall": "A machine that falls over can hurt a child and breaks the card out of its slot; keep cables where nobody trips over them."},
	Judge:    judgeTipping,
	Bound:    boundTipping,
}

func judgeTipping(c *kit.Case) {
	s := sceneOf(c)
	if s.chassis == nil {
		return
	}
	of := s.chassis.Part.GetChassis()
	width, height, depth := c.Length(s.chassis, "chassis.width_mm", of.WidthMm), c.Length(s.chassis, "chassis.height_mm", of.HeightMm),
		c.Length(s.chassis, "chassis.depth_mm", of.DepthMm)
	if !outsideTold(of) {
		return
	}
	feet, inset := s.feet(), c.Parameter(&feetInset)
	angle := quantity.Range{}
	if width.Known() && height.Known() && depth.Known() {
		angle = s.tilt(width.Nominal, height.Nominal, depth.Nominal, feet, inset.Nominal)
	}
	f := c.AtLeast(c.Derived(angle, "deg", width, height, depth, inset), c.Parameter(&leastTilt)).About(s.chassis)
	f.AtWorst(kit.Marginal).Remedy("stand").CautionWhen("fall")
}

// outsideTold reports whether anything is stated of an enclosure's outside; else there
// is nothing to judge.
func outsideTold(of *v1.Chassis) bool {
	return of.WidthMm != nil || of.HeightMm != nil || of.DepthMm != nil
}

// boundTipping foretells that an enclosure of which only a part of its outside is stated
// is not known to stand.
func boundTipping(c *kit.Case) {
	s := sceneOf(c)
	if s.chassis == nil || !c.Sought(s.chassis) {
		return
	}
	if of := s.chassis.Part.GetChassis(); outsideTold(of) && (of.WidthMm == nil || of.HeightMm == nil || of.DepthMm == nil) {
		c.Unfit()
	}
}

// feet is how high the enclosure stands: its own feet, or those that were added.
func (s *scene) feet() float64 {
	mm := s.chassis.Part.GetChassis().GetFeetMm()
	for it := range s.c.Items(kit.KindAccessory) {
		mm = max(mm, it.Part.GetAccessory().GetFeetMm())
	}
	return mm
}

// tilt is the angle in degrees at which the machine falls to the side on which it
// does so first.
func (s *scene) tilt(width, height, depth, feet, inset float64) quantity.Range {
	up, side, front := height/2, width/2, depth/2 // from the nearer outer faces
	slack := offCentreShare
	if centre, known := s.centre(); known {
		up, slack = centre[2], offCentreShare/4
		side = max(0, width/2-math.Abs(centre[1]))
		front = max(0, depth/2-math.Abs(centre[0]))
	}
	angle := func(shift float64) float64 {
		arm := math.Min(side-shift*width, front-shift*depth) - inset
		return math.Atan2(arm, up+shift*height+feet) * 180 / math.Pi
	}
	return quantity.Range{Nominal: angle(0), Low: angle(slack), High: angle(-slack)}
}
