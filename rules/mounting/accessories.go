package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var accessoriesRule = kit.Rule{
	ID: "mounting.accessories", Title: "Brackets and other accessories of the arrangement", Since: "0.1.0",
	Why: "An enclosure can list more places than its box holds brackets for, and what a layout asks for is easily overlooked: a supply's bracket, a riser, " +
		"a second radiator bracket.",
	Formula: "Margin is how many of each accessory lie in the boxes or stand in the build, less how many the layout and its used places ask for.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads: []string{
		"chassis.layouts.needs", "chassis.layouts.mounts.needs", "chassis.limits.radiators.needs", "chassis.limits.fans.needs",
		"chassis.limits.drives.needs", "kit.pieces", "accessory.provides",
	},
	UsesFacts: []string{factArrangement},
	Texts: map[string]string{
		"pass":    "The arrangement asks for {required} of {accessory}, and the boxes hold {measured}.",
		"fail":    "The arrangement asks for {required} of {accessory}, and the boxes hold {measured}.",
		"unknown": "Whether every accessory that the arrangement asks for is there cannot be told without {missing}; look into the enclosure's box.",
	},
	Remedies: map[string]string{
		"buy": "Buy {lacking} of {accessory}.",
	},
	Judge: judgeAccessories,
}

func judgeAccessories(c *kit.Case) {
	s := sceneOf(c)
	if s.chassis == nil {
		return
	}
	needs := s.fact.Needs
	if !s.arrange {
		if s.needsDepend() {
			c.Judged(kit.Unknown, c.AbsentFact(factArrangement, "")).About(s.chassis)
			return
		}
		needs = s.layout.GetNeeds()
	}
	for i, token := range needs {
		if !contains(needs[:i], token) {
			s.judgeAccessory(token, times(needs, token))
		}
	}
}

func times(list []string, token string) (n int) {
	for _, t := range list {
		if t == token {
			n++
		}
	}
	return n
}

func (s *scene) judgeAccessory(token string, wanted int) {
	c, have := s.c, s.provided(token)
	lacking := max(0, wanted-have)
	f := c.AtLeast(kit.Constant(float64(have), ""), kit.Constant(float64(wanted), "")).About(s.chassis).
		Word("accessory", token).Number("lacking", kit.Constant(float64(lacking), ""))
	if f.Verdict() != kit.Fail {
		return
	}
	if s.chassis.Part.Kit == nil {
		f.Using(c.Absent(s.chassis.At("kit.pieces"), ""))
	}
	if supply := s.supplyThatMayBring(token); supply != nil {
		f.Using(c.Absent(supply.At("kit.pieces"), ""))
	}
	buy := make([]string, lacking)
	for i := range buy {
		buy[i] = token
	}
	f.Remedy("buy", buy...)
}

// supplyThatMayBring is the supply whose mount asks for the accessory and whose
// box is not described: makers of small supplies add such a bracket.
func (s *scene) supplyThatMayBring(token string) *kit.Item {
	for it := range s.c.Items(kit.KindSupply) {
		for mount := range s.mountsOf(it) {
			if m := s.mount(mount); m != nil && contains(m.Needs, token) && it.Part.Kit == nil {
				return it
			}
		}
	}
	return nil
}

// needsDepend reports whether what is needed depends on the arrangement: there
// are several layouts, or places with needs of their own.
func (s *scene) needsDepend() bool {
	chassis := s.chassis.Part.GetChassis()
	if len(chassis.Layouts) > 1 || limitsNeed(chassis.Limits) {
		return true
	}
	for _, l := range chassis.Layouts {
		if limitsNeed(l.Limits) {
			return true
		}
		for _, m := range l.Mounts {
			if len(m.Needs) > 0 {
				return true
			}
		}
	}
	return false
}

func limitsNeed(l *v1.ChassisLimits) bool {
	for _, r := range l.GetRadiators() {
		if len(r.Needs) > 0 {
			return true
		}
	}
	for _, f := range l.GetFans() {
		if len(f.Needs) > 0 {
			return true
		}
	}
	for _, d := range l.GetDrives() {
		if len(d.Needs) > 0 {
			return true
		}
	}
	return false
}
