package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// fansInRow is how many fans a nominal radiator holds, by size.
var fansInRow = func() map[uint32]int {
	out := map[uint32]int{}
	for _, r := range standards.RadiatorSizes() {
		out[uint32(r.NominalMM)] = r.Fans
	}
	return out
}()

// radiatorJoint asks for a long screw in every hole of a radiator's fans: as long
// as the fan is thick and one diameter more, which is what steel asks for, and no
// longer than the radiator's screw depth allows.
func (s *scene) radiatorJoint(it *kit.Item, radiator *v1.Radiator, own []*v1.FanSeat) {
	fans := fansInRow[radiator.GetNominalMm()] * it.Count
	j := joint{Joint: screwFor("radiator"), item: it, rule: screwsOfRadiator, need: screwsPerFan * fans}
	prefix := "radiator."
	if it.Kind == kit.KindLiquidLoop {
		prefix = "liquid_loop.radiator."
	}
	if thread := radiator.GetThread(); thread != "" {
		j.Threads = []string{thread}
	} else {
		j.open, j.isOpen = it.At(prefix+"thread"), true
	}
	thickness, open := s.fanOn(it, own)
	if open != (kit.Path{}) {
		j.open, j.isOpen, j.factual = open, true, own == nil
	} else {
		j.ShortestMM, j.LongestMM = lengthsThrough(thickness, radiator)
	}
	if d := stated(s.mount(s.sole(it)), it.Part, "radiator", "screw"); d != nil {
		j.by(d, it.Count)
	}
	s.joints = append(s.joints, j)
}

// lengthsThrough bounds the screws that go through a fan into a radiator's sheet.
// Where the radiator is shallower than what steel asks for the bounds cross, so that
// no screw serves; a thread that the tables do not have asks for nothing.
func lengthsThrough(fanMM float64, radiator *v1.Radiator) (shortest, longest float64) {
	stack := fastening.Stack{
		Thread: radiator.GetThread(), ClampedMM: []float64{fanMM}, Material: "steel", DepthMM: radiator.GetScrewDepthMm(),
	}
	r, _ := stack.Lengths()
	if r.ShortestMM == 0 {
		r.ShortestMM = fanMM
	}
	if stack.DepthMM > 0 {
		r.LongestMM = fanMM + stack.DepthMM
	}
	return r.ShortestMM, r.LongestMM
}

// fanOn is the thickness of the fans that sit on a radiator: its own, or the
// loose ones that share its mount. open is what is not known about them.
func (s *scene) fanOn(it *kit.Item, own []*v1.FanSeat) (mm float64, open kit.Path) {
	for _, seat := range own {
		if seat.Fan == nil || seat.Fan.ThicknessMm == nil {
			return 0, it.At("liquid_loop.fans")
		}
		mm = max(mm, *seat.Fan.ThicknessMm)
	}
	if len(own) > 0 {
		return mm, open
	}
	for mount := range s.mountsOf(it) {
		for fan := range s.c.Items(kit.KindFan) {
			for at := range s.mountsOf(fan) {
				if at != mount {
					continue
				}
				t := fan.Part.GetFan().ThicknessMm
				if t == nil {
					return 0, fan.At("fan.thickness_mm")
				}
				mm = max(mm, *t)
			}
		}
	}
	if mm == 0 {
		return 0, noItem
	}
	return mm, open
}
