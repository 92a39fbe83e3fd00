package mounting

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
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
	j := joint{item: it, rule: screwsOfRadiator, kind: "screw", purpose: "radiator", need: screwsPerFan * fans}
	prefix := "radiator."
	if it.Kind == kit.KindLiquidLoop {
		prefix = "liquid_loop.radiator."
	}
	if thread := radiator.GetThread(); thread != "" {
		j.threads = []string{thread}
	} else {
		j.open, j.isOpen = it.At(prefix+"thread"), true
	}
	thickness, open := s.fanOn(it, own)
	if open != (kit.Path{}) {
		j.open, j.isOpen, j.factual = open, true, own == nil
	} else {
		j.shortest = thickness + engagementIn(radiator.GetThread())
		if radiator != nil && radiator.ScrewDepthMm != nil {
			j.longest = thickness + *radiator.ScrewDepthMm
		}
	}
	if d := stated(s.mount(s.sole(it)), it.Part, "radiator", "screw"); d != nil {
		j.by(d, it.Count)
	}
	s.joints = append(s.joints, j)
}

// engagements are how far screws must enter steel, by thread.
var engagements = func() map[string]float64 {
	out := map[string]float64{}
	for _, t := range standards.Threads() {
		if e, err := standards.EngagementFor(t.Token, "steel"); err == nil {
			out[t.Token] = e.NeedMM
		}
	}
	return out
}()

// engagementIn is how far a screw must enter a radiator's sheet, 0 for a thread
// that the tables do not have.
func engagementIn(thread string) float64 {
	return engagements[strings.ToLower(thread)]
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
