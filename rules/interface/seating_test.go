package mating

import (
	"fmt"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// Boards whose slots share lanes with sockets, cards that hide their neighbours,
// drives of all kinds: every way of dealing them out, tried one by one with the
// lanes that are really left in it, finds nothing better than the search.
func TestSeatingIsTheBestThereIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := drawBuild(t)
		h := openHookup(t, text)
		s := &h.seats
		got := s.worth()
		at := make([]int, len(s.pieces))
		want, best := bestOfAll(s, at, 0, 0)
		if got != want {
			t.Fatalf("the seating is worth %d, and %v is worth %d\n%s", got, best, want, text)
		}
	})
}

// worth is the weight of a seating with the places that are in use in it, -1 where
// it cannot be.
func (s *seating) worth() (sum int64) {
	var used, hidden places
	for i := range s.pieces {
		if at := s.pieces[i].at; at >= 0 {
			if used.has(at) {
				return -1
			}
			used = used.with(at)
			hidden |= s.pieces[i].hides[at]
		}
	}
	if used&hidden != 0 {
		return -1
	}
	for i := range s.pieces {
		if at := s.pieces[i].at; at >= 0 {
			w := s.weight(i, at, used)
			if w == 0 {
				return -1
			}
			sum += w
		}
	}
	return sum
}

// bestOfAll tries every place for the pieces from i on.
func bestOfAll(s *seating, at []int, i int, best int64) (int64, string) {
	if i == len(s.pieces) {
		return s.worth(), fmt.Sprint(at)
	}
	told := "nothing"
	for place := -1; place < len(s.places); place++ {
		if place >= 0 && (i < s.cards) != (s.places[place].card != nil) {
			continue
		}
		at[i], s.pieces[i].at = place, place
		if sum, how := bestOfAll(s, at, i+1, best); sum >= best {
			best, told = sum, how
		}
	}
	s.pieces[i].at = -1
	return best, told
}

// openHookup reads a build as the pack does before its rules judge.
func openHookup(t fataler, text string) *hookup {
	var h *hookup
	pack := Pack()
	inner := pack.Alternatives
	pack.Alternatives = func(c *kit.Case) int {
		n := inner(c)
		h = hookupOf(c)
		return n
	}
	pack.Rules = []kit.Rule{socketRule}
	pack.Conclude = func(c *kit.Case) {}
	// Of the case only the hook-up is looked at, which keeps what it found.
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatalf("%v", err)
	}
	build := new(v1.Build)
	if err := readBuild(text, build); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: build})
	if err != nil {
		t.Fatalf("%v", err)
	}
	var out kit.Outcome
	if err := e.Evaluate(check, nil, &out); err != nil {
		t.Fatalf("%v", err)
	}
	return h
}

// fataler is what of testing.T and rapid.T is used here.
type fataler interface {
	Fatalf(format string, args ...any)
}

// drawBuild makes up a board with up to two card slots and three M.2 sockets, and
// up to two cards and three drives.
func drawBuild(t *rapid.T) string {
	var b strings.Builder
	lanes := rapid.SampledFrom([]int{1, 2, 4, 8, 16})
	shares := func(own string) string {
		if rapid.Bool().Draw(t, "alone") {
			return ""
		}
		other := rapid.SampledFrom([]string{"s1", "s2", "m1", "m2", "m3"}).Filter(func(s string) bool { return s != own }).Draw(t, "with")
		return fmt.Sprintf(", shares_with: [%s], lanes_shared: %d", other, rapid.SampledFrom([]int{0, 1, 2, 4}).Draw(t, "left"))
	}
	b.WriteString("items:\n- {id: board, part: {board: {card_slots: [")
	for i := range rapid.IntRange(0, 2).Draw(t, "slots") {
		id := fmt.Sprintf("s%d", i+1)
		fmt.Fprintf(&b, "{id: %s, position: %d, width_lanes: %d, lanes: %d, generation: %d%s}, ", id, i+1,
			lanes.Draw(t, "width"), lanes.Draw(t, "lanes"), rapid.IntRange(3, 5).Draw(t, "generation"), shares(id))
	}
	b.WriteString("], m2_slots: [")
	for i := range rapid.IntRange(0, 3).Draw(t, "sockets") {
		id := fmt.Sprintf("m%d", i+1)
		fmt.Fprintf(&b, "{id: %s, key: %s, sizes: ['%s'], lanes: %d, generation: %d, height_mm: %d, sata: %t, back: %t%s}, ", id,
			rapid.SampledFrom([]string{"M", "M", "B", "E"}).Draw(t, "key"), rapid.SampledFrom([]string{"2280", "2280", "2242"}).Draw(t, "size"),
			rapid.SampledFrom([]int{1, 2, 4}).Draw(t, "lanes"), rapid.IntRange(3, 5).Draw(t, "generation"),
			rapid.SampledFrom([]int{3, 4, 12}).Draw(t, "height"), rapid.Bool().Draw(t, "sata"), rapid.Bool().Draw(t, "back"), shares(id))
	}
	b.WriteString("]}}}\n")
	for i := range rapid.IntRange(0, 2).Draw(t, "cards") {
		fmt.Fprintf(&b, "- {id: c%d, part: {card: {width_lanes: %d, generation: %d, slots: %d}}}\n", i,
			lanes.Draw(t, "width"), rapid.IntRange(3, 5).Draw(t, "generation"), rapid.IntRange(1, 3).Draw(t, "openings"))
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "drives") {
		height := ""
		if rapid.IntRange(0, 4).Draw(t, "height known") > 0 {
			height = fmt.Sprintf(", height_mm: %g", rapid.SampledFrom([]float64{2.3, 3.8, 9}).Draw(t, "height"))
		}
		fmt.Fprintf(&b, "- {id: d%d, part: {drive: {form_factor: m2, m2_size: '2280', m2_key: %s, bus: %s, generation: %d, lanes: 4, read_gbs: %g%s}}}\n", i,
			rapid.SampledFrom([]string{"M", "B+M"}).Draw(t, "key"), rapid.SampledFrom([]string{"pcie", "pcie", "sata"}).Draw(t, "bus"),
			rapid.IntRange(3, 5).Draw(t, "generation"), rapid.SampledFrom([]float64{0.5, 7, 14}).Draw(t, "rate"), height)
	}
	return b.String()
}

// The search of a board on which everything depends on everything stays bounded.
func TestSeatingEndsOnBoardsThatShareEverything(t *testing.T) {
	var slots, sockets, names []string
	for i := range 16 {
		names = append(names, fmt.Sprintf("s%d", i), fmt.Sprintf("m%d", i))
	}
	all := strings.Join(names, ", ")
	for i := range 16 {
		slots = append(slots, fmt.Sprintf("{id: s%d, position: %d, width_lanes: 16, lanes: 16, generation: 4, shares_with: [%s], lanes_shared: 4}", i, i+1, all))
		sockets = append(sockets, fmt.Sprintf("{id: m%d, key: M, sizes: ['2280'], lanes: 4, generation: 4, height_mm: 9, shares_with: [%s], lanes_shared: 2}", i, all))
	}
	text := build("{id: board, part: {board: {card_slots: ["+strings.Join(slots, ", ")+"], m2_slots: ["+strings.Join(sockets, ", ")+"]}}}",
		"{id: card, count: 64, part: {card: {width_lanes: 16, generation: 4, slots: 1}}}",
		"{id: drive, count: 64, part: {drive: {form_factor: m2, m2_size: '2280', m2_key: M, bus: pcie, generation: 4, lanes: 4, height_mm: 2}}}")
	h := openHookup(t, text)
	if n := h.seats.used.count(); n != 32 {
		t.Errorf("%d of 32 places are in use", n)
	}
	for _, f := range kittest.Evaluate(t, evaluator(t), kittest.Row{Build: text}).Findings {
		if f.GetRule() == "interface.card-slot" && f.GetVerdict() != kit.Fail {
			t.Errorf("64 cards in 16 slots: %s", kittest.Line(f))
		}
	}
}
