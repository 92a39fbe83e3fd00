package clearance

import (
	"fmt"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// pinnedTo is a build with every choice of an arrangement fixed: the fields of a
// placement are those of a seat by the same names.
func pinnedTo(build *v1.Build, a *v1.Arrangement) *v1.Build {
	out := proto.CloneOf(build)
	out.Arrangement = &v1.ArrangementChoice{Layout: a.Layout}
	for _, s := range a.Seats {
		out.Arrangement.Placements = append(out.Arrangement.Placements, &v1.Placement{
			Item: s.Item, Mount: s.Mount, Count: s.Count, Pose: s.Pose, OffsetsMm: s.OffsetsMm, Side: s.Side, Position: s.Position,
			Flow: s.Flow, FansOutside: s.FansOutside, Fittings: s.Fittings, SlideMm: s.SlideMm,
		})
	}
	return out
}

// whatCounts is what a ranked arrangement promises.
func whatCounts(a *v1.Arrangement) string {
	feasible := "not told"
	if a.Feasible != nil {
		feasible = fmt.Sprint(*a.Feasible)
	}
	cost := "not told"
	if a.AddedCost != nil {
		cost = fmt.Sprint(*a.AddedCost)
	}
	return fmt.Sprintf("feasible %s, margin %.6f mm, fan area %.6f cm2, in %.6f, out %.6f, added cost %s, to buy %v",
		feasible, a.GetMarginMm(), a.GetFanAreaCm2(), a.GetIntakeAreaCm2(), a.GetExhaustAreaCm2(), cost, a.Buy)
}

// An arrangement out of the ranking that is pinned whole is judged as it was ranked,
// with every piece where it was.
func TestPinnedArrangementIsTheRanked(t *testing.T) {
	tried, spread := 0, 0
	var cases []*v1.Build
	for _, id := range demoBuilds(t) {
		cases = append(cases, demoBuild(t, id))
		if cases[len(cases)-1].Arrangement != nil {
			cases = append(cases, withMoreFans(t, id, 0))
		}
	}
	// With more fans, the pieces of one item go to several mounts.
	cases = append(cases, withMoreFans(t, "archive-draft", 1), withMoreFans(t, "second-radiator", 2))
	for _, build := range cases {
		id := build.GetId()
		_, facts := checked(t, build, FactRanking)
		ranking := facts[FactRanking].GetRanking()
		for i, a := range slices.Concat(ranking.GetArrangements(), ranking.GetDirections()) {
			tried++
			if inSeveralSeats(a) {
				spread++
			}
			_, facts := checked(t, pinnedTo(build, a))
			got := facts[FactArrangement].GetArrangement()
			if now, was := whatCounts(got), whatCounts(a); now != was {
				t.Errorf("%s, arrangement %d: pinned it has %s; ranked it had %s", id, i, now, was)
			}
			if !slices.EqualFunc(got.Seats, a.Seats, func(s, o *v1.Seat) bool { return proto.Equal(s, o) }) {
				t.Errorf("%s, arrangement %d: pinned its seats are\n%v\nranked they were\n%v", id, i, got.Seats, a.Seats)
			}
		}
	}
	if tried < 200 || spread == 0 {
		t.Errorf("%d arrangements were tried, %d with an item in several seats; the demo has more", tried, spread)
	}
	t.Logf("%d arrangements, %d of them with an item in several seats", tried, spread)
}

// withMoreFans is a build of the demo with all places free and more pieces of each fan.
func withMoreFans(t *testing.T, id string, more uint32) *v1.Build {
	build := demoBuild(t, id)
	build.Arrangement = nil
	for _, item := range build.Items {
		if item.GetPart().GetFan() != nil {
			item.Count = proto.Uint32(max(1, item.GetCount()) + more)
		}
	}
	build.Id = proto.String(fmt.Sprintf("%s, all places free and %d more of each fan", id, more))
	return build
}

// inSeveralSeats reports whether the pieces of an item go to more than one seat.
func inSeveralSeats(a *v1.Arrangement) bool {
	for i, s := range a.Seats {
		if slices.ContainsFunc(a.Seats[:i], func(o *v1.Seat) bool { return o.GetItem() == s.GetItem() }) {
			return true
		}
	}
	return false
}

// Whatever way a build fixes the places of an item of several pieces, the pieces
// share them as the contract says.
func TestPiecesShareTheChoices(t *testing.T) {
	at := func(mount string, count, position int) *v1.Placement {
		p := &v1.Placement{Item: proto.String("fans")}
		if mount != "" {
			p.Mount = &mount
		}
		if count > 0 {
			p.Count = proto.Uint32(uint32(count))
		}
		if position >= 0 {
			p.Position = proto.Uint32(uint32(position))
		}
		return p
	}
	other := &v1.Placement{Item: proto.String("board"), Mount: proto.String("tray")}
	for _, c := range []struct {
		what string
		pins []*v1.Placement
		want []string // of each of three pieces
		like []int
	}{
		{"nothing", nil, []string{"", "", ""}, []int{0, 0, 0}},
		{"one for all", []*v1.Placement{at("a", 0, -1), other}, []string{"a", "a", "a"}, []int{0, 0, 0}},
		{"one for all from a place on", []*v1.Placement{at("a", 0, 1)}, []string{"a1", "a2", "a3"}, []int{0, 1, 2}},
		{"one each", []*v1.Placement{at("a", 0, 0), at("b", 0, 0), at("b", 0, 2)}, []string{"a0", "b0", "b2"}, []int{0, 1, 2}},
		{"any of two", []*v1.Placement{at("a", 0, 1), at("b", 0, -1)}, []string{"a1+ b", "a1+ b", "a1+ b"}, []int{0, 0, 0}},
		{"any of four", []*v1.Placement{at("a", 0, 0), at("a", 0, 1), at("b", 0, 0), at("b", 0, 1)},
			[]string{"a0 a1 b0 b1", "a0 a1 b0 b1", "a0 a1 b0 b1"}, []int{0, 0, 0}},
		{"all counted", []*v1.Placement{at("a", 2, 1), at("b", 1, 0)}, []string{"a1", "a2", "b0"}, []int{0, 1, 2}},
		{"some counted", []*v1.Placement{at("a", 0, 0), at("b", 1, -1)}, []string{"b", "a0", "a1"}, []int{0, 1, 2}},
		{"some free", []*v1.Placement{at("a", 1, 0)}, []string{"a0", "", ""}, []int{0, 1, 1}},
	} {
		s := &scene{items: []seatedItem{{id: "fans", count: 3}}, pins: c.pins}
		for piece, want := range c.want {
			got := ""
			for i, p := range s.pinsOf(0, piece) {
				if i > 0 {
					got += " "
				}
				got += p.choice.GetMount()
				if p.position != anyPosition {
					got += fmt.Sprint(p.position)
				}
				if p.onward && p.position != anyPosition {
					got += "+"
				}
			}
			if got != want {
				t.Errorf("%s: piece %d may go to %q, want %q", c.what, piece, got, want)
			}
			if like := s.likePiece(0, piece); like != c.like[piece] {
				t.Errorf("%s: piece %d is like piece %d, want %d", c.what, piece, like, c.like[piece])
			}
		}
	}
}

// A position that the ranking gives the first of two fans holds for both without a
// count as well, and a place beyond the row's end is none.
func TestRowFollowsItsFirstPiece(t *testing.T) {
	for position, want := range []bool{true, false} {
		build := demoBuild(t, "archive-editor")
		for _, p := range build.Arrangement.Placements {
			if p.GetItem() == "bottom-fans" {
				p.Position = proto.Uint32(uint32(position))
			}
		}
		_, facts := checked(t, build)
		if got := facts[FactArrangement].GetArrangement().GetFeasible(); got != want {
			t.Errorf("fans from place %d on: feasible %v, want %v", position, got, want)
		}
	}
}
