package clearance

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// onRigidRiser is the front desk's build with its ribbon replaced by the riser of
// fixed shape, and without the fans at the top.
func onRigidRiser(t *testing.T) *v1.Build {
	t.Helper()
	build := demoBuild(t, "front-desk")
	var items []*v1.Item
	for _, it := range build.Items {
		switch it.GetId() {
		case "top-fans":
			continue
		case "riser":
			it.Part = proto.CloneOf(demoPart(t, "risers.yaml#steg-4-rigid"))
		}
		items = append(items, it)
	}
	build.Items = items
	build.Arrangement.Placements = build.Arrangement.Placements[1:]
	return build
}

// riserOf is the riser of a build.
func riserOf(b *v1.Build) *v1.Part {
	for _, it := range b.Items {
		if it.Part.GetRiser() != nil {
			return it.Part
		}
	}
	return nil
}

func textOf(findings []*v1.Finding, rule string) (verdict v1.Verdict, text string) {
	for _, f := range findings {
		if f.GetRule() == rule {
			return f.GetVerdict(), f.GetSummary().GetText()
		}
	}
	return 0, ""
}

// Each row moves the riser, or turns its socket, and says what then holds. Where
// the socket belongs follows from the poses of the enclosure's mounts: the slot at
// z = 18 + 159.59 mm, the card's contacts at z = 30 mm.
func TestRigidRiserHasItsCardInOnePlace(t *testing.T) {
	for _, c := range []struct {
		name    string
		change  func(*v1.Part)
		verdict v1.Verdict
		text    string
		fits    bool
	}{
		{"as made", func(*v1.Part) {}, v1.Verdict_VERDICT_PASS, "The socket of Steg Gen 4, rigid, for the Zwiefalt 11 is 0 mm off the place where Kiesel 50 stands.", true},
		{"0.9 mm off", func(p *v1.Part) { *p.GetRiser().SlotAt.XMm += 0.9 }, v1.Verdict_VERDICT_PASS, "is 0.9 mm off", true},
		{"one slot lower", func(p *v1.Part) { *p.GetRiser().SlotAt.XMm -= 20.32 }, v1.Verdict_VERDICT_FAIL, "it would have to lie 20.3 mm higher", false},
		{"turned", func(p *v1.Part) { p.GetRiser().SlotXPoints = v1.Axis_AXIS_Z_PLUS.Enum() }, v1.Verdict_VERDICT_FAIL, "another way round", false},
		{"no place told", func(p *v1.Part) { p.GetRiser().SlotAt = nil }, v1.Verdict_VERDICT_UNKNOWN, "cannot be told without", true},
		{"no shape told", func(p *v1.Part) { p.Bodies = nil }, v1.Verdict_VERDICT_UNKNOWN, "cannot be told without", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			build := onRigidRiser(t)
			c.change(riserOf(build))
			findings, _ := checked(t, build)
			verdict, text := textOf(findings, "clearance.riser-shape")
			if verdict != c.verdict || !strings.Contains(text, c.text) {
				t.Errorf("it says %v %q, want %v %q", verdict, text, c.verdict, c.text)
			}
			together, said := textOf(findings, "clearance.together")
			if fits := together == v1.Verdict_VERDICT_PASS; fits != c.fits {
				t.Errorf("together it says %v %q", together, said)
			}
		})
	}
}

// A rigid riser is matter: it takes the room of fans at the top, where a ribbon
// gives way.
func TestRigidRiserTakesRoom(t *testing.T) {
	build := demoBuild(t, "front-desk")
	riser := riserOf(build)
	if verdict, text := verdictTogether(t, build); verdict != v1.Verdict_VERDICT_PASS {
		t.Fatalf("on its ribbon it says %v %q", verdict, text)
	}
	rigid := demoPart(t, "risers.yaml#steg-4-rigid")
	riser.Kind, riser.Bodies = rigid.Kind, rigid.Bodies
	verdict, text := verdictTogether(t, build)
	if verdict != v1.Verdict_VERDICT_FAIL || !strings.Contains(text, "clear of") {
		t.Errorf("on the rigid one it says %v %q", verdict, text)
	}
	riser.Bodies = riser.Bodies[:1] // the foot alone is out of the way of everything
	if verdict, text := verdictTogether(t, build); verdict != v1.Verdict_VERDICT_PASS {
		t.Errorf("on its foot alone it says %v %q", verdict, text)
	}
}

func verdictTogether(t *testing.T, build *v1.Build) (v1.Verdict, string) {
	t.Helper()
	findings, _ := checked(t, build)
	return textOf(findings, "clearance.together")
}
