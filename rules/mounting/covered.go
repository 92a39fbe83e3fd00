package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// coveredHoles is how many holes of each fan's pattern the enclosure covers at a
// mount, by its limits or its joints.
func (s *scene) coveredHoles(mount string) int {
	if m := s.mount(mount); m != nil {
		if d := stated(m, nil, "fan", "screw"); d != nil && d.Covered != nil {
			return min(int(*d.Covered), screwsPerFan)
		}
	}
	if s.chassis == nil {
		return 0
	}
	for _, list := range [...][]*v1.FanLimit{s.layout.GetLimits().GetFans(), s.chassis.Part.GetChassis().GetLimits().GetFans()} {
		for _, f := range list {
			if f.GetMount() == mount {
				return int(f.GetCoveredHoles())
			}
		}
	}
	return 0
}

// coveredOf is how many holes of an item's pieces at a mount take no screw, by what
// the enclosure says, else by what lies over them in the arrangement.
func (s *scene) coveredOf(it *kit.Item, mount string, pieces int) (covered int) {
	if said := s.coveredHoles(mount); said > 0 {
		return said * pieces
	}
	for i := range s.seatings() {
		if x := &s.sat[i]; x.item == it && x.place == mount {
			covered += x.met.under
		}
	}
	return covered
}
