package clearance

import (
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// fanned is a build of board, low cooler and fans in the 18 litre enclosure, in the
// layout with the card below: so many fans on each mount.
func fanned(t *testing.T, chassis *v1.Part, fans map[string]int) *v1.Build {
	t.Helper()
	item := func(id string, part *v1.Part, n int) *v1.Item {
		count := uint32(n)
		return &v1.Item{Id: &id, Part: part, Count: &count}
	}
	b := &v1.Build{
		Items: []*v1.Item{
			item("enclosure", chassis, 1), item("board", demoPart(t, "boards.yaml#aue-b1-itx"), 1),
			item("cooler", demoPart(t, "coolers.yaml#flachland-47"), 1),
		},
		Arrangement: &v1.ArrangementChoice{Layout: proto.String("card-below")},
	}
	mounts := make([]string, 0, len(fans))
	for mount := range fans {
		mounts = append(mounts, mount)
	}
	slices.Sort(mounts)
	for _, mount := range mounts {
		b.Items = append(b.Items, item("on-"+mount, demoPart(t, "fans.yaml#heron-120-slim"), fans[mount]))
		b.Arrangement.Placements = append(b.Arrangement.Placements, &v1.Placement{Item: proto.String("on-" + mount), Mount: proto.String(mount)})
	}
	return b
}

func rankingOf(t *testing.T, b *v1.Build) *v1.Ranking {
	t.Helper()
	_, facts := checked(t, b, FactRanking)
	r := facts[FactRanking].GetRanking()
	if len(r.GetArrangements()) == 0 {
		t.Fatalf("nothing fits: %v", r)
	}
	return r
}

// flowsOf are the ways that the seats of an arrangement blow, by mount.
func flowsOf(a *v1.Arrangement) string {
	var out []string
	for _, s := range a.Seats {
		if s.Flow != nil {
			out = append(out, s.GetMount()+" "+map[v1.Flow]string{v1.Flow_FLOW_INTAKE: "in", v1.Flow_FLOW_EXHAUST: "out"}[s.GetFlow()])
		}
	}
	slices.Sort(out)
	return sentence(out)
}

func sentence(words []string) (text string) {
	for i, w := range words {
		if i > 0 {
			text += ", "
		}
		text += w
	}
	return text
}

// The custom: out at the top and the rear, in elsewhere (common practice, no
// source). All other ways are told once each, and no box moves for them.
func TestFreeFansBlowTheUsualWay(t *testing.T) {
	b := fanned(t, demoPart(t, "chassis.yaml#lichtung-18"), map[string]int{"fans-rear": 1, "fans-bottom": 2, "fans-top": 2})
	r := rankingOf(t, b)
	if got := flowsOf(r.Arrangements[0]); got != "fans-bottom in, fans-rear out, fans-top out" {
		t.Errorf("the fans blow %s", got)
	}
	in, out := r.Arrangements[0].GetIntakeAreaCm2(), r.Arrangements[0].GetExhaustAreaCm2()
	if in < 226 || in > 227 || out < 339 || out > 340 || in+out != r.Arrangements[0].GetFanAreaCm2() {
		t.Errorf("%v cm2 blow in and %v cm2 out; two and three discs of 120 mm are 226.2 and 339.3", in, out)
	}
	seen := []string{flowsOf(r.Arrangements[0])}
	for _, a := range r.Directions {
		if got := flowsOf(a); slices.Contains(seen, got) {
			t.Errorf("%s is told twice", got)
		} else {
			seen = append(seen, got)
		}
		if a.GetMarginMm() != r.Arrangements[0].GetMarginMm() {
			t.Errorf("%s has a margin of its own", flowsOf(a))
		}
	}
	if len(seen) != 8 {
		t.Errorf("%d ways for three rows: %q", len(seen), seen)
	}
	if r.GetFeasibleCount() == 0 || len(r.Arrangements) != int(r.GetFeasibleCount()) {
		t.Errorf("%d arrangements are listed, %d fit: directions must not count", len(r.Arrangements), r.GetFeasibleCount())
	}
}

// A way that the build fixes stays, in the best and in all others.
func TestFixedFlowStays(t *testing.T) {
	b := fanned(t, demoPart(t, "chassis.yaml#lichtung-18"), map[string]int{"fans-rear": 1, "fans-bottom": 2})
	for _, p := range b.Arrangement.Placements {
		if p.GetMount() == "fans-rear" {
			p.Flow = v1.Flow_FLOW_INTAKE.Enum()
		}
	}
	r := rankingOf(t, b)
	if len(r.Directions) != 1 {
		t.Errorf("%d other ways with one free row", len(r.Directions))
	}
	for _, a := range append(r.Directions, r.Arrangements[0]) {
		if seatIn(a, "on-fans-rear").GetFlow() != v1.Flow_FLOW_INTAKE {
			t.Errorf("the rear fan blows %s", flowsOf(a))
		}
	}
}

// Two equal rows side by side: which of them is the one that blows the other way
// makes no difference, and fans of one panel that feed each other come last.
func TestEqualRowsAreTriedOnce(t *testing.T) {
	chassis := proto.CloneOf(demoPart(t, "chassis.yaml#lichtung-18"))
	layout := chassis.GetChassis().Layouts[0]
	for _, m := range layout.Mounts {
		if m.GetId() != "fans-bottom" {
			continue
		}
		m.Count, m.SizesMm, m.Space, m.Excludes = proto.Uint32(1), []uint32{120}, nil, nil
		second := proto.CloneOf(m)
		second.Id = proto.String("fans-bottom-two")
		*second.Poses[0].Origin.XMm += 121
		layout.Mounts = append(layout.Mounts, second)
		break
	}
	r := rankingOf(t, fanned(t, chassis, map[string]int{"fans-bottom": 1, "fans-bottom-two": 1}))
	var ways []string
	for _, a := range append([]*v1.Arrangement{r.Arrangements[0]}, r.Directions...) {
		ways = append(ways, flowsOf(a))
	}
	want := []string{"fans-bottom in, fans-bottom-two in", "fans-bottom out, fans-bottom-two out", "fans-bottom in, fans-bottom-two out"}
	if !slices.Equal(ways, want) {
		t.Errorf("the ways are %q, want %q", ways, want)
	}
}

// What speaks against a way, one thing at a time.
func TestWhatSpeaksAgainstADirection(t *testing.T) {
	const in, out = v1.Flow_FLOW_INTAKE, v1.Flow_FLOW_EXHAUST
	s := &scene{keep: usual}
	near := row{panel: 1, usual: out, area: 100, inner: 4, walled: true}
	free := row{panel: 2, usual: in, area: 100, inner: airReach}
	bare := row{panel: 3, usual: in, area: 100, inner: airReach, bare: true}
	for _, c := range []struct {
		name          string
		rows          []row
		better, worse []v1.Flow
		vents         float64
	}{
		{"a wall 4 mm before what draws", []row{near}, []v1.Flow{in}, []v1.Flow{out}, 1000},
		{"custom decides where nothing else does", []row{free}, []v1.Flow{in}, []v1.Flow{out}, 1000},
		{"air has to leave", []row{free, free}, []v1.Flow{in, out}, []v1.Flow{in, in}, 0},
		{"vents let it", []row{{panel: 2, usual: in, area: 100}, {panel: 4, usual: in, area: 100}}, []v1.Flow{in, in}, []v1.Flow{in, out}, 200},
		{"fans of one panel feed each other", []row{free, free}, []v1.Flow{in, in}, []v1.Flow{in, out}, 200},
		{"fingers can go in", []row{bare}, []v1.Flow{out}, []v1.Flow{in}, 1000},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.name == "air has to leave" {
				c.rows[1].panel = 5
			}
			a, b := s.judgeDirection(c.rows, c.better, c.vents), s.judgeDirection(c.rows, c.worse, c.vents)
			if a.compare(&b) >= 0 {
				t.Errorf("%+v is not before %+v", a, b)
			}
		})
	}
}

// Blades that draw from the inside lie open there; so do those that draw through a
// bare opening (ISO 12499 asks for guards where a person can reach them).
func TestGuardsAreWantedWhereBladesLieOpen(t *testing.T) {
	chassis := proto.CloneOf(demoPart(t, "chassis.yaml#lichtung-18"))
	b := fanned(t, chassis, map[string]int{"fans-rear": 1, "fans-bottom": 2})
	r := rankingOf(t, b)
	if g := seatIn(r.Arrangements[0], "on-fans-rear").GetGuard(); g != "inner" {
		t.Errorf("a fan that draws from the inside wants a guard %q", g)
	}
	if g := seatIn(r.Arrangements[0], "on-fans-bottom"); g.Guard != nil {
		t.Errorf("a fan behind a filter wants a guard %q", g.GetGuard())
	}
	for _, p := range chassis.GetChassis().Panels {
		if p.GetId() == "bottom" {
			p.Openings[0].Covering, p.Openings[0].OpenShare = proto.String("none"), proto.Float64(1)
		}
	}
	b.Arrangement.Placements[0].Flow = v1.Flow_FLOW_INTAKE.Enum()
	if g := seatIn(rankingOf(t, b).Arrangements[0], "on-fans-bottom").GetGuard(); g != "outer" {
		t.Errorf("a fan behind a bare opening wants a guard %q", g)
	}
}
