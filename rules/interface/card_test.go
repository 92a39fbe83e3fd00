package mating

import (
	v1 "slipfit.example/proto/slipfit/v1"

	"testing"

	"slipfit.example/rules/kit/kittest"
)

func slots(list string) string { return "{id: board, part: {board: {card_slots: [" + list + "]}}}" }

const slotFive = "{id: s1, position: 1, width_lanes: 16, lanes: 16, generation: 5}"

func TestCardSlot(t *testing.T) {
	const card = "{id: card, part: {card: {width_lanes: 16, generation: 4, slots: 3}}}"
	const small = "{id: small, part: {card: {width_lanes: 1, generation: 2, slots: 1}}}"
	kittest.Table(t, Pack(), "interface.card-slot", []kittest.Row{
		{Name: "a slot as long as the edge", Build: build(slots(slotFive), card), Want: []string{"PASS card,board"}},
		{Name: "a short edge in a long slot", Build: build(slots(slotFive), small), Want: []string{"PASS small,board"}},
		{Name: "a long edge and a short slot", Build: build(slots("{id: s1, width_lanes: 4, lanes: 4}"), card), Want: []string{"FAIL card,board"}},
		{Name: "two cards, one slot", Build: build(slots(slotFive), "{id: card, count: 2, part: {card: {width_lanes: 16}}}"), Want: []string{"FAIL card,board"}},
		{Name: "the small card leaves the long slot to the other", Build: build(slots(slotFive+", {id: s4, position: 4, width_lanes: 1, lanes: 1, generation: 3}"), small, card),
			Want: []string{"PASS small,board", "PASS card,board"}},
		{Name: "a card of three openings hides the slot two further on", Build: build(slots(slotFive+", {id: s3, position: 3, width_lanes: 1, lanes: 1, generation: 3}"), small, card),
			Want: []string{"FAIL small,board", "PASS card,board"}},
		{Name: "on a riser it hides none", Build: build(slots(slotFive+", {id: s3, position: 3, width_lanes: 1, lanes: 1, generation: 3}"), card, small, "{id: riser, part: {riser: {generation: 4, lanes: 16}}}"),
			Want: []string{"PASS card,board,riser", "PASS small,board"}},
		{Name: "a slot that dies beside an M.2 drive, when there is another for the drive", Build: build("{id: board, part: {board: {card_slots: [{id: s1, width_lanes: 16, lanes: 16, generation: 4, shares_with: [m1], lanes_shared: 0}], m2_slots: [{id: m1, key: M, sizes: ['2280'], height_mm: 9, generation: 4, lanes: 4}, {id: m2, key: M, sizes: ['2280'], height_mm: 9, generation: 3, lanes: 4}]}}}",
			card, drive(", generation: 4, lanes: 4")), Want: []string{"PASS card,board"}},
		{Name: "lengths not stated", Build: build(slots("{id: s1}"), "{id: card, part: {card: {}}}"),
			Want: []string{"UNKNOWN card,board missing items[1].part.card.width_lanes items[0].part.board.card_slots[0].width_lanes"}},
		{Name: "no slots described", Build: build("{id: board, part: {board: {}}}", card), Want: []string{"UNKNOWN card,board missing items[0].part.board.card_slots"}},
		{Name: "no board", Build: build(card), Want: []string{"UNKNOWN card missing items"}},
		{Name: "no card", Build: build(slots(slotFive))},
	})
}

func TestCardLink(t *testing.T) {
	const (
		four   = "{id: card, part: {card: {width_lanes: 16, generation: 4}}}"
		five   = "{id: card, part: {card: {width_lanes: 16, generation: 5}}}"
		case4  = "{id: case, part: {chassis: {layouts: [{id: flat, mounts: [{id: slots, kind: MOUNT_KIND_CARD}]}, {id: upright, mounts: [{id: stand, kind: MOUNT_KIND_CARD, needs: [riser-x16]}]}]}}}"
		riser4 = "{id: riser, part: {riser: {generation: 4, lanes: 16}}}"
	)
	kittest.Table(t, Pack(), "interface.card-link", []kittest.Row{
		{Name: "a slot at least as fast", Build: build(slots(slotFive), four), Want: []string{"PASS card,board margin 0 GB/s"}},
		{Name: "generation 4 in a slot of generation 3: 15.75 for 31.51 GB/s", Build: build(slots("{id: s1, width_lanes: 16, lanes: 16, generation: 3}"), four), Want: []string{"MARGINAL card,board margin -15.75 GB/s"}},
		{Name: "the policy asks for three quarters", Build: build(slots("{id: s1, width_lanes: 16, lanes: 16, generation: 3}"), four),
			Policy: map[string]float64{"interface.card-link.least_share": 0.75}, Want: []string{"FAIL card,board margin -15.75 GB/s"}},
		{Name: "a long slot with four lanes wired", Build: build(slots("{id: s1, width_lanes: 16, lanes: 4, generation: 4}"), four), Want: []string{"MARGINAL card,board margin -23.63 GB/s"}},
		{Name: "a riser of generation 4 holds generation 5 to 31.51 of 63.02 GB/s", Build: build(slots(slotFive), five, riser4), Want: []string{"MARGINAL card,board,riser margin -31.51 GB/s"}},
		{Name: "and does not touch generation 4", Build: build(slots(slotFive), four, riser4), Want: []string{"PASS card,board,riser margin 0 GB/s"}},
		{Name: "the arrangement stands the card on the riser", Build: build(slots(slotFive), five, riser4, case4),
			Facts: []*v1.Fact{arrangement("upright", "card stand")}, Want: []string{"MARGINAL card,board,riser margin -31.51 GB/s"}},
		{Name: "the arrangement puts it straight into the slot", Build: build(slots(slotFive), five, riser4, case4),
			Facts: []*v1.Fact{arrangement("flat", "card slots")}, Want: []string{"PASS card,board margin 0 GB/s"}},
		{Name: "it stands on a riser that is not named", Build: build(slots(slotFive), five, case4),
			Facts: []*v1.Fact{arrangement("upright", "card stand")}, Want: []string{"UNKNOWN card,board missing items"}},
		{Name: "a riser that does not say its generation", Build: build(slots(slotFive), five, "{id: riser, part: {riser: {lanes: 16}}}"),
			Want: []string{"UNKNOWN card,board,riser missing items[2].part.riser.generation"}},
		{Name: "lanes shared with a drive that has no other socket", Build: build("{id: board, part: {board: {card_slots: [{id: s1, width_lanes: 16, lanes: 16, generation: 4, shares_with: [m1], lanes_shared: 8}], m2_slots: [{id: m1, key: M, sizes: ['2280'], height_mm: 9, generation: 4, lanes: 4}]}}}",
			four, drive(", generation: 4, lanes: 4")), Want: []string{"MARGINAL card,board margin -15.75 GB/s"}},
		{Name: "the drive goes elsewhere, though slower, for the card's sake", Build: build("{id: board, part: {board: {card_slots: [{id: s1, width_lanes: 16, lanes: 16, generation: 4, shares_with: [m1], lanes_shared: 8}], m2_slots: [{id: m1, key: M, sizes: ['2280'], height_mm: 9, generation: 4, lanes: 4}, {id: m2, key: M, sizes: ['2280'], height_mm: 9, generation: 3, lanes: 4}]}}}",
			four, drive(", generation: 4, lanes: 4")), Want: []string{"PASS card,board margin 0 GB/s"}},
		{Name: "the processor's lanes are of generation 4 (common practice, no source)", Build: build("{id: board, part: {board: {socket: am5, card_slots: ["+slotFive+"]}}}", "{id: cpu, part: {processor: {socket: am5, generation: 4}}}", five),
			Want: []string{"MARGINAL card,board margin -31.51 GB/s"}},
		{Name: "generations not stated", Build: build(slots("{id: s1, width_lanes: 16, lanes: 16}"), "{id: card, part: {card: {width_lanes: 16}}}"),
			Want: []string{"UNKNOWN card,board missing items[0].part.board.card_slots[0].generation items[1].part.card.generation"}},
		{Name: "lanes not stated", Build: build(slots("{id: s1, width_lanes: 16, generation: 4}"), "{id: card, part: {card: {generation: 4}}}"),
			Want: []string{"UNKNOWN card,board missing items[0].part.board.card_slots[0].lanes items[1].part.card.lanes"}},
		{Name: "no slot: the rule on slots has said it", Build: build(slots("{id: s1, width_lanes: 4}"), four)},
		{Name: "no board", Build: build(four)},
	})
}

func TestDisplays(t *testing.T) {
	const (
		board  = "{id: board, part: {board: {outputs: [{kind: hdmi}, {kind: displayport}]}}}"
		cpu    = "{id: cpu, part: {processor: {graphics: true}}}"
		blind  = "{id: cpu, part: {processor: {graphics: false}}}"
		card   = "{id: card, part: {card: {outputs: [{kind: displayport, count: 2}, {kind: hdmi}]}}}"
		inputs = "{id: inputs, part: {card: {width_lanes: 1}}}"
	)
	use := func(n, rest string) string { return rest + "use: {displays: " + n + "}\n" }
	kittest.Table(t, Pack(), "interface.displays", []kittest.Row{
		{Name: "two on a card of three", Build: use("2", build(board, cpu, card)), Want: []string{"PASS card,board,cpu margin 1"}},
		{Name: "five with those of the board beside the card", Build: use("5", build(board, cpu, card)), Want: []string{"MARGINAL card,board,cpu margin 0"}},
		{Name: "six", Build: use("6", build(board, cpu, card)), Want: []string{"FAIL card,board,cpu margin -1"}},
		{Name: "four, and the processor has no graphics", Build: use("4", build(board, blind, card)), Want: []string{"FAIL card,board,cpu margin -1"}},
		{Name: "two on the board", Build: use("2", build(board, cpu, inputs)), Want: []string{"PASS board,cpu margin 0"}},
		{Name: "none can be driven", Build: use("1", build(board, blind)), Want: []string{"FAIL board,cpu margin -1"}},
		{Name: "one is needed to set the machine up", Build: build(board, blind), Want: []string{"FAIL board,cpu margin -1"}},
		{Name: "none is wanted", Build: use("0", build(board, blind))},
		{Name: "a card for graphics that lists no sockets", Build: use("1", build(board, blind, "{id: card, part: {card: {fans: [{fan: {size_mm: 92}}]}}}")),
			Want: []string{"UNKNOWN board,cpu margin -1 missing items[2].part.card.outputs"}},
		{Name: "graphics not stated", Build: use("1", build(board, "{id: cpu, part: {processor: {}}}")), Want: []string{"UNKNOWN board,cpu missing items[1].part.processor.graphics"}},
		{Name: "the board's sockets not stated", Build: use("1", build("{id: board, part: {board: {}}}", cpu)), Want: []string{"UNKNOWN board,cpu missing items[0].part.board.outputs"}},
		{Name: "no processor", Build: use("1", build(board)), Want: []string{"UNKNOWN board missing items"}},
		{Name: "neither board nor a word on displays", Build: build(cpu)},
	})
}
