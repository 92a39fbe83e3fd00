package mating

import (
	"bytes"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// richBuild is the mixing desk with a loop, more cards and drives of all kinds, so
// that every branch of the rules has something to read.
func richBuild(t testing.TB) *v1.Build {
	return kittest.Build(t, desk(t, "use: {displays: 3}", `- {id: loop, part: {liquid_loop: {radiator: {nominal_mm: 240}, pump_power_w: 4, fans: [{count: 2, fan: {header: fan-4, current_a: 0.2, addressable_light: true}}]}}}
- {id: inputs, count: 2, part: {card: {width_lanes: 1, generation: 2, slots: 1}}}
- {id: old, part: {drive: {form_factor: m2, m2_size: "2280", m2_key: B+M, height_mm: 2.2, bus: sata, read_gbs: 0.56}}}
- {id: cabled, part: {drive: {form_factor: 2.5-inch, bus: pcie, generation: 4, lanes: 4, read_gbs: 7}}}
- {id: more-memory, part: {memory: {kind: ddr5, module: udimm, capacity_gb: 16, ranks: 1, rate_mts: 4800}}}
- {id: adapter, part: {cable: {from: usb-c-key-a, ends: [{connector: usb3-19}]}}}
- {id: rod, part: {accessory: {provides: [antenna]}}}
use: {displays: 7}`))
}

// Documents come with holes and with figures that nobody meant. Whatever is left
// out or put in, no rule breaks, no number but a finite one leaves, and the same
// document gives the same findings again.
func TestHolesInTheDocumentBreakNothing(t *testing.T) {
	e := evaluator(t)
	whole := richBuild(t)
	seated, err := proto.Marshal(arrangement("upright", "card upright"))
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		build := proto.Clone(whole).(*v1.Build)
		kittest.Punch(t, build.ProtoReflect(), rapid.IntRange(0, 30).Draw(t, "share"))
		check, err := proto.Marshal(&v1.CheckRequest{Build: build})
		if err != nil {
			t.Fatal(err)
		}
		var facts []kit.Fact
		if rapid.Bool().Draw(t, "arrangement") {
			facts = append(facts, kit.Fact{Name: factArrangement, Value: seated})
		}
		var first, second kit.Outcome
		for _, out := range []*kit.Outcome{&first, &second} {
			if err := e.Evaluate(check, facts, out); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(first.Findings, second.Findings) {
			t.Fatal("the same document gave other findings")
		}
		var response v1.CheckResponse
		if err := proto.Unmarshal(first.Findings, &response); err != nil {
			t.Fatal(err)
		}
		for _, f := range response.Findings {
			checkSound(t, f)
		}
	})
}

func checkSound(t *rapid.T, f *v1.Finding) {
	if err := kittest.Sound(f); err != nil {
		t.Fatal(err)
	}
	if f.GetVerdict() == kit.Unknown && len(f.Missing) == 0 && len(f.MissingFacts) == 0 {
		t.Fatalf("%s is UNKNOWN and names nothing that is missing: %s", f.GetRule(), f.GetSummary().GetText())
	}
}
