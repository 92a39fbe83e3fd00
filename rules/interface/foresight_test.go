package mating

import (
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// What the pack tells of a candidate before cards have their places holds good of what
// its rules find, wherever the arrangement puts the card and with or without a riser for
// it. Some is told of cards that fit.
func TestBoundsHold(t *testing.T) {
	e := evaluator(t)
	whole := kittest.Build(t, mixingDesk)
	ceilings := 0
	rapid.Check(t, func(r *rapid.T) {
		build := proto.CloneOf(whole)
		for _, it := range build.Items {
			if card := it.Part.GetCard(); card != nil {
				card.Generation, card.Lanes = drawn(r, 1, 3, 4, 5, 6), drawn(r, 1, 4, 8, 16)
				card.WidthLanes = drawn(r, 1, 4, 8, 16, 32)
			}
			for _, slot := range it.Part.GetBoard().GetCardSlots() {
				slot.Generation, slot.Lanes, slot.WidthLanes = drawn(r, 3, 4, 5), drawn(r, 1, 4, 8, 16), drawn(r, 4, 8, 16)
			}
		}
		if rapid.IntRange(0, 2).Draw(r, "no riser") == 0 {
			build.Items = slices.DeleteFunc(build.Items, func(it *v1.Item) bool { return it.Part.GetRiser() != nil })
		}
		item := slices.IndexFunc(build.Items, func(it *v1.Item) bool { return it.Part.GetCard() != nil })
		var facts []kit.Fact
		if layout := rapid.SampledFrom([]string{"", "below", "upright"}).Draw(r, "layout"); layout != "" {
			if rapid.Bool().Draw(r, "chosen") {
				build.Arrangement = &v1.ArrangementChoice{Layout: &layout}
			}
			mount := rapid.SampledFrom([]string{"slots", "upright", "elsewhere"}).Draw(r, "mount")
			value, err := proto.Marshal(arrangement(layout, build.Items[item].GetId()+" "+mount))
			if err != nil {
				r.Fatal(err)
			}
			facts = append(facts, kit.Fact{Name: factArrangement, Value: value})
		}
		f, err := kittest.Foresee(e, build, item, facts)
		if err != nil {
			r.Fatal(err)
		}
		if f.Ceiling != nil && f.MarginShare != nil {
			ceilings++
		}
	})
	t.Logf("%d ceilings of cards that fit", ceilings)
	if ceilings == 0 {
		t.Error("too little was told ahead for the above to say much")
	}
}

// A card of a newer generation than the slot is told ahead to come off with half of its
// rate; one whose edge is longer than every slot, or of which nobody says how long it
// is, not to fit.
func TestCardIsForetold(t *testing.T) {
	for card, want := range map[string]struct {
		ceiling float64 // 0: none
		unfit   bool
	}{
		"{generation: 4, width_lanes: 16}": {},
		"{generation: 5, width_lanes: 16}": {ceiling: -0.5},
		"{generation: 4, width_lanes: 32}": {ceiling: -1, unfit: true},
		"{generation: 4}":                  {unfit: true},
		"{width_lanes: 16}":                {unfit: true},
	} {
		b := kittest.Build(t, build(slots("{id: s1, width_lanes: 16, lanes: 16, generation: 4}"), "{id: card, part: {card: "+card+"}}"))
		f, err := kittest.Foresee(evaluator(t), b, 1, nil)
		if err != nil {
			t.Errorf("%s: %v", card, err)
		}
		ceiling := 0.0
		if f.Ceiling != nil {
			ceiling = *f.Ceiling
		}
		if ceiling != want.ceiling || f.Unfit != want.unfit {
			t.Errorf("%s: ceiling %v, unfit %v", card, ceiling, f.Unfit)
		}
	}
}

// drawn is one of some numbers, or none.
func drawn(t *rapid.T, numbers ...uint32) *uint32 {
	if rapid.IntRange(0, 9).Draw(t, "absent") == 0 {
		return nil
	}
	n := rapid.SampledFrom(numbers).Draw(t, "number")
	return &n
}
