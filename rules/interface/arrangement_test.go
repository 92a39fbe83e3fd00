package mating

import (
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// The field numbers read by hand are those of the contract.
func TestArrangementFieldsAreTheContracts(t *testing.T) {
	for _, row := range []struct {
		message proto.Message
		name    protoreflect.Name
		number  protoreflect.FieldNumber
	}{
		{&v1.Fact{}, "arrangement", factArrangementField},
		{&v1.Arrangement{}, "layout", arrangementLayout},
		{&v1.Arrangement{}, "seats", arrangementSeats},
	} {
		if got := row.message.ProtoReflect().Descriptor().Fields().ByName(row.name).Number(); got != row.number {
			t.Errorf("%s has the number %d, not %d", row.name, got, row.number)
		}
	}
}

// An arrangement with boxes, gaps and numbers beside the seats reads as one
// without; one that is cut off anywhere counts as none and breaks nothing.
func TestArrangementIsReadPastWhatIsNotLookedAt(t *testing.T) {
	fact := arrangement("upright", "card upright")
	margin, feasible, shape := 3.5, true, "card-0"
	full := fact.GetArrangement()
	full.MarginMm, full.Feasible = &margin, &feasible
	full.Boxes = []*v1.PlacedBox{{Shape: &shape, OpenShare: &margin}}
	full.Seats = append(full.Seats, &v1.Seat{Item: &shape, OffsetsMm: []float64{1, 2}})
	value, err := proto.Marshal(fact)
	if err != nil {
		t.Fatal(err)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(t, mixingDesk)})
	if err != nil {
		t.Fatal(err)
	}
	e := evaluator(t)
	onRiser := 0
	for cut := range len(value) + 1 {
		var out kit.Outcome
		if err := e.Evaluate(check, []kit.Fact{{Name: factArrangement, Value: value[:cut]}}, &out); err != nil {
			t.Fatalf("cut off at %d: %v", cut, err)
		}
		if out.Verdict == kit.Pass {
			onRiser++
		}
	}
	if onRiser != len(value)+1 {
		t.Errorf("%d of %d arrangements leave the desk in order", onRiser, len(value)+1)
	}
	// Straight in the slot there is no riser between.
	flat := arrangement("below", "card slots")
	flat.GetArrangement().Boxes = full.Boxes
	for _, l := range linksOf(t, e, desk(t, "riser: {generation: 4", "riser: {generation: 3"), flat).Links {
		if l.GetItem() == "card" && l.GetGeneration() != 4 {
			t.Errorf("the card's link is of generation %d", l.GetGeneration())
		}
	}
}
