package clearance

import (
	"slices"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

// fronted is the trough with a lead from its front wall to a header of the board.
func fronted(lead, header string) string {
	build := strings.Replace(trough("", ""), "chassis: {", "chassis: {front_leads: ["+lead+"], ", 1)
	return strings.Replace(build, "power_sockets: []", "power_sockets: [], headers: ["+header+"]", 1)
}

func TestLeadLength(t *testing.T) {
	const (
		lead   = "{header: front-panel, length_mm: 480, from: {x_mm: 540, y_mm: 100, z_mm: 160}}"
		header = "{kind: front-panel, at: {x_mm: 40, y_mm: 150, z_mm: 10}}"
	)
	long := func(mm string) string { return strings.Replace(lead, "480", mm, 1) }
	without := func(field string) string { return strings.Replace(lead, field, "", 1) }
	kittest.Table(t, Pack(), "clearance.lead-length", []kittest.Row{
		// The lead leaves the wall at x 540, y 100, z 160 and the header lies at x 170,
		// y 180, z 160: square it is 370 + 80 mm less (2 - pi/2) x 6 mm at each of three
		// corners. 10 mm of slack come on top.
		{Name: "along the walls", Build: fronted(lead, header), Want: []string{"PASS case,board margin 27.7 mm"}},
		// Straight stretches of 1.5 and 13.5 mm, and 374.5 mm as the crow flies.
		{Name: "shorter than the crow flies", Build: fronted(long("380"), header), Want: []string{"FAIL case,board margin -19.5 mm"}},
		{Name: "as short, and the computer can do without", Build: fronted(strings.Replace(long("380"), "{header", "{dispensable: true, header", 1), header),
			Want: []string{"MARGINAL case,board margin -19.5 mm"}},
		{Name: "more slack is asked for", Build: fronted(lead, header), Policy: map[string]float64{"clearance.lead-length.slack_mm": 120},
			Want: []string{"FAIL case,board margin -29.5 mm"}},
		{Name: "no length", Build: fronted(without("length_mm: 480, "), header), Want: []string{"UNKNOWN case,board missing items[0].part.chassis.front_leads[0].length_mm"}},
		{Name: "where it leaves is not told", Build: fronted(without(", from: {x_mm: 540, y_mm: 100, z_mm: 160}"), header),
			Want: []string{"UNKNOWN case,board missing items[0].part.chassis.front_leads[0].from"}},
		{Name: "where the header is is not told", Build: fronted(lead, "{kind: front-panel}"), Want: []string{"UNKNOWN case,board missing items[1].part.board.headers[0].at"}},
		{Name: "no such header", Build: fronted(lead, "{kind: hd-audio}")},
	})
}

// Two sockets and two cables: taken in their order, the long cable would go to the
// near socket and the short one would not reach the far one.
func TestCablesAreDealtToReach(t *testing.T) {
	const sockets = "{connector: main-24, at: {x_mm: 160, y_mm: 340, z_mm: 14}, faces: AXIS_Z_PLUS}, " + mainSocket
	cables := strings.Replace(mainCable, "450", "420", 1) + ", " + strings.Replace(mainCable, "450", "230", 1)
	kittest.Table(t, Pack(), "clearance.cable-length", []kittest.Row{
		// From x 420 to the sockets at x 360 and x 170: 60 + 96 and 250 + 96 mm, less
		// 4.3 mm at each of three corners, and 10 mm of slack.
		{Name: "each where it reaches", Build: trough(cables, sockets), Want: []string{"PASS supply,board margin 76.9 mm", "PASS supply,board margin 76.9 mm"}},
		{Name: "the other way round in the document", Build: trough(strings.Replace(mainCable, "450", "230", 1)+", "+strings.Replace(mainCable, "450", "420", 1), sockets),
			Want: []string{"PASS supply,board margin 76.9 mm", "PASS supply,board margin 76.9 mm"}},
		{Name: "of three the two that leave least over", Build: trough(cables+", "+strings.Replace(mainCable, "450", "400", 1), sockets),
			Want: []string{"PASS supply,board margin 76.9 mm", "PASS supply,board margin 56.9 mm"}},
	})
}

// summaries of a rule about an item.
func summaries(t *testing.T, build *v1.Build, rule, subject string) (out []string) {
	t.Helper()
	findings, _ := checked(t, build)
	for _, f := range findings {
		if f.GetRule() == rule && slices.Contains(f.Subjects, subject) {
			out = append(out, strings.TrimPrefix(f.GetVerdict().String(), "VERDICT_")+" "+f.GetSummary().GetText())
		}
	}
	return out
}

// A data cable that is needed and absent is told with the length to order; one of
// the build is held against its way.
func TestDataCables(t *testing.T) {
	build := demoBuild(t, "archive-editor")
	if got := summaries(t, build, "clearance.lead-length", "sound-drive"); len(got) != 1 || !strings.HasPrefix(got[0], "PASS The sata-data lead of Aue B1 Mini is 500 mm long") {
		t.Errorf("with its cable it says %q", got)
	}
	build.Items = slices.DeleteFunc(build.Items, func(it *v1.Item) bool { return it.GetId() == "sound-cable" })
	got := summaries(t, build, "clearance.lead-length", "sound-drive")
	if len(got) != 1 || !strings.HasPrefix(got[0], "UNKNOWN No sata-data cable from Aue B1 Mini to Schiefer 8 TB is named") || !strings.HasSuffix(got[0], "order one of 300 mm.") {
		t.Errorf("without it it says %q", got)
	}
}

// Fans share headers by the splitters of the build: without them the last fan has
// none, with one its lead is longer by the branch.
func TestFanLeadsGoToTheirHeaders(t *testing.T) {
	build := fanned(t, demoPart(t, "chassis.yaml#lichtung-18"), map[string]int{"fans-rear": 1, "fans-bottom": 2, "fans-top": 2})
	_, facts := checked(t, build, FactArrangement)
	leadsOf := func(a *v1.Arrangement) (n int, longest float64) {
		for _, r := range a.Routes {
			if r.GetConnector() == "fan-4" {
				n++
				longest = max(longest, r.GetHaveMm())
			}
		}
		return n, longest
	}
	// Three headers for fans; the fourth is the cooler's.
	if n, longest := leadsOf(facts[FactArrangement].GetArrangement()); n != 3 || longest != 400 {
		t.Errorf("%d leads of up to %v mm go to the three headers for five fans", n, longest)
	}
	splitter, count := "splitter", uint32(2)
	build.Items = append(build.Items, &v1.Item{Id: &splitter, Part: demoPart(t, "cables.yaml#faden-fan-splitter"), Count: &count})
	_, facts = checked(t, build, FactArrangement)
	if n, longest := leadsOf(facts[FactArrangement].GetArrangement()); n != 5 || longest != 510 {
		t.Errorf("%d leads of up to %v mm with two splitters of 110 mm", n, longest)
	}
}

// What the ways need and what is at hand stand side by side in the fact.
func TestRoutesSayWhatIsToSpare(t *testing.T) {
	_, facts := checked(t, demoBuild(t, "archive-editor"), FactArrangement)
	kinds := map[string]bool{}
	for _, r := range facts[FactArrangement].GetArrangement().Routes {
		kinds[r.GetConnector()] = true
		if r.SpareMm == nil || r.GetSpareMm() != r.GetHaveMm()-r.GetNeededMm() || r.GetOrderMm() < r.GetNeededMm() || len(r.Points) < 2 {
			t.Errorf("the way %v does not add up", r)
		}
	}
	for _, want := range []string{"main-24", "cpu-8", "pcie-8", "sata-power", "sata-data", "fan-4", "usb-c-key-a", "usb3-19", "front-panel"} {
		if !kinds[want] {
			t.Errorf("no way of a %s cable", want)
		}
	}
}
