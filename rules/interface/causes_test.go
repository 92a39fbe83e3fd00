package mating

import (
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

// A finding that is not PASS says what is the matter and what would settle it.
func TestFindingsNameTheirCause(t *testing.T) {
	const riser5 = "riser: {generation: 4"
	for _, row := range []struct {
		name  string
		build string
		rule  string
		text  string // part of the summary, of the remedy after "->"
	}{
		{"an older riser", desk(t, "card: {width_lanes: 16, slots: 2, generation: 4", "card: {width_lanes: 16, slots: 2, generation: 5"), "interface.card-link",
			"the riser Footbridge holds the link to Gen 4 x16: 31.51 GB/s in place of 63.02 GB/s.->Choose a riser of generation 5,"},
		{"shared lanes", desk(t, riser5, "riser: {generation: 5", `- {id: m2-third, key: M, sizes: ["2242", "2280"], lanes: 4, generation: 4, height_mm: 4, back: true}`, ""), "interface.card-link",
			"slot-1 shares its lanes with m2-second and gives it Gen 4 x8: 15.75 GB/s in place of 31.51 GB/s.->Leave m2-second free."},
		{"the processor's lanes", desk(t, "memory_capacity_gb: 192, generation: 5", "memory_capacity_gb: 192, generation: 3"), "interface.card-link",
			"the lanes of Bittern hold slot-1 to Gen 3 x16: 15.75 GB/s in place of 31.51 GB/s.->Cards rarely"},
		{"an older slot", desk(t, "lanes: 16, generation: 5, shares_with", "lanes: 16, generation: 3, shares_with"), "interface.card-link",
			"slot-1 gives it Gen 3 x16: 15.75 GB/s in place of 31.51 GB/s.->Cards rarely"},
		{"an older socket", desk(t, "{id: m2-first, key: M, sizes: [\"2280\"], lanes: 4, generation: 5", "{id: m2-first, key: M, sizes: [\"2280\"], lanes: 4, generation: 4"), "interface.drive-rate",
			"Peat could read 13.5 GB/s, but in m2-first its link is Gen 4 x4, which carries 7.88 GB/s.->A drive of 7.88 GB/s"},
		{"memory beyond the processor's list", desk(t, "ranks: 2, rate_mts: 5600}}", "ranks: 2, rate_mts: 6000}}"), "interface.memory-rate",
			"but Bittern lists 5600 MT/s for this number of modules (2);->Set the memory to 5600 MT/s"},
		{"memory beyond the board's list, all sockets filled", desk(t, "ranks: 2, rate_mts: 5600}}", "ranks: 2, rate_mts: 8000}}"), "interface.memory-rate",
			"runs at 6000 MT/s here: Marsh lists no more for this number of modules (2, all sockets filled).->Memory sold for 6000 MT/s"},
		{"older firmware", desk(t, `firmware: "1.40"`, `firmware: "1.10"`), "interface.firmware",
			"Bittern starts only with firmware 1.30 or newer, and Marsh is delivered with 1.10.->Ask for a board with firmware 1.30"},
		{"a height that no socket leaves", desk(t, "height_mm: 9, bus: pcie, generation: 5", "height_mm: 14, bus: pcie, generation: 5"), "interface.m2-socket",
			"Peat is 14 mm tall, and m2-first leaves 12 mm.->Take a drive without a heatsink, or take off the board's own: 3 mm are short."},
		{"whichever socket is named first", desk(t, "height_mm: 9, bus: pcie, generation: 5", "height_mm: 14, bus: pcie, generation: 5", "{id: m2-first,", "{id: m2-low, key: M, sizes: ['2280'], lanes: 4, generation: 5, height_mm: 3}\n      - {id: m2-first,"), "interface.m2-socket",
			"Peat is 14 mm tall, and m2-first leaves 12 mm.->"},
		{"a size that no socket takes", desk(t, `m2_size: "2280", m2_key: M, height_mm: 9`, `m2_size: "2230", m2_key: M, height_mm: 9`), "interface.m2-socket",
			"Peat is of the size 2230, and no M.2 socket of Marsh with its key takes that: m2-first takes 2280.->"},
		{"a key that no socket has", desk(t, `m2_key: M, height_mm: 9`, `m2_key: E, height_mm: 9`), "interface.m2-socket",
			"Peat is notched for key E, and no M.2 socket of Marsh has it.->"},
		{"a bus that no socket carries", desk(t, "height_mm: 9, bus: pcie, generation: 5, lanes: 4, read_gbs: 13.5", "height_mm: 9, bus: sata",
			"height_mm: 12}", "height_mm: 12, sata: false}", `shares_with: [slot-1], lanes_shared: 4}`, `shares_with: [slot-1], lanes_shared: 4, sata: false}`,
			`generation: 4, height_mm: 4, back: true}`, `generation: 4, height_mm: 4, back: true, sata: false}`), "interface.m2-socket",
			"Peat speaks SATA, and no M.2 socket of Marsh carries it.->"},
		{"more drives than sockets", desk(t, "- id: takes\n", "- id: takes\n  count: 3\n"), "interface.m2-socket",
			"Marsh has sockets for 2 of 3 drives Moss; what is left is taken, or dead beside others in use.->Leave out a drive"},
		{"no graphics at all", desk(t, "graphics: true", "graphics: false", ", outputs: [{kind: displayport, count: 3}, {kind: hdmi}]", ""), "interface.displays",
			"Nothing drives a display, and 3 are wanted: Bittern has no graphics of its own,->Choose a graphics card with 3"},
		{"a lead without a header", desk(t, "      - {id: front-usb-c, kind: usb-c-key-a}\n", ""), "interface.front-panel",
			"Leads usb-c-key-a of Reed Bed: 1; headers for them on Marsh: 0.->Choose a board with the header usb-c-key-a"},
	} {
		t.Run(row.name, func(t *testing.T) {
			said, settled, _ := strings.Cut(row.text, "->")
			var got []string
			for _, f := range kittest.Evaluate(t, evaluator(t), kittest.Row{Build: row.build, Facts: []*v1.Fact{arrangement("upright", "card upright")}}).Findings {
				if f.GetRule() != row.rule || f.GetVerdict() == v1.Verdict_VERDICT_PASS {
					continue
				}
				text := f.GetSummary().GetText()
				for _, r := range f.Remedies {
					text += " -> " + r.GetAction().GetText()
				}
				if strings.Contains(f.GetSummary().GetText(), said) && strings.Contains(text, "-> "+settled) {
					return
				}
				got = append(got, text)
			}
			t.Errorf("no finding of %s says %q; it says\n%s", row.rule, row.text, strings.Join(got, "\n"))
		})
	}
}
