package clearance

import (
	"cmp"
	"context"
	"slices"
	"sync"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
)

// searchBudget is how many nodes a search may visit: some tenths of a second on a
// machine of 2020. An answer that it cut short says so.
const searchBudget = 300_000

// tiesCompared is how many arrangements of equal smallest margin are compared by
// the margins after it.
const tiesCompared = 6

// plan is what geometry tells about a build in one layout. It belongs to no case
// and is never written to once it is made.
type plan struct {
	scene *scene
	seen  bool // the layout has geometry for this build
	flaws []flaw

	found      bool // an arrangement is feasible for all parts
	exhaustive bool // every arrangement was judged
	space      uint64
	visited    int64

	chosen  arrangement // the best, or where none is feasible the nearest to it
	airs    []air
	rooms   []room
	shown   bool     // chosen is there
	reasons []reason // why nothing fits
	changes []change // what would make it fit

	once    sync.Once
	written *v1.Arrangement // chosen, for the fact
	laying  laying          // its cables
}

// arrangement is one choice for everything, in its boxes.
type arrangement struct {
	things    []*thing
	pieces    [][]geometry.Piece // of each thing
	seats     []seatOf
	gaps      []gapOf // the tightest first
	margin    float64 // smallest gap less what it must be; meaningless without gaps
	purchases []arrange.Purchase
	fanArea   int64 // mm2
	intake    int64 // of it what blows in, mm2
	exhaust   int64
}

// gapOf is the gap of two things, by their numbers in the arrangement and those of
// their pieces. It holds no pointers: many are sorted.
type gapOf struct {
	margin, required float64
	a, b, p, q       int32
	reason           why
}

// pair are the two pieces of a gap.
func (a *arrangement) pair(g *gapOf) (p, q *geometry.Piece) {
	return &a.pieces[g.a][g.p], &a.pieces[g.b][g.q]
}

// makePlan searches a layout for the best arrangement of a build.
func makePlan(e *enclosure, layout int, items []seatedItem, pins []*v1.Placement, k keep) *plan {
	shape := &e.layouts[layout]
	p := &plan{scene: newScene(e, shape, items, pins, k), seen: shape.seen}
	p.flaws = append(append(p.flaws, e.flaws...), shape.flaws...)
	if !p.seen || len(p.flaws) > 0 {
		p.seen = p.seen && len(p.flaws) == 0
		return p
	}
	answer, err := arrange.Solve(context.Background(), p.scene.build(), arrange.Question{Ranked: tiesCompared, Budget: searchBudget, Bare: true})
	if err != nil {
		p.seen = false
		p.flaws = append(p.flaws, flaw{layoutPath(layout) + "mounts", err.Error()})
		return p
	}
	p.exhaustive, p.space, p.visited = answer.Exhaustive && !p.scene.cut, answer.Space, answer.Visited
	left := p.scene.left()
	for _, l := range left {
		p.reasons = append(p.reasons, reason{text: "a mount for " + p.scene.items[l.item].name, items: []int{l.item}})
	}
	if len(answer.Ranked) > 0 {
		p.chosen, _ = p.scene.bestOf(answer.Ranked)
		p.found, p.shown = len(left) == 0, true
	} else {
		p.explain(answer)
	}
	if p.shown {
		p.airs, p.rooms = p.scene.airs(&p.chosen), p.scene.rooms(&p.chosen)
		p.scene.direct(&p.chosen, p.airs)
	}
	p.scene.forget()
	return p
}

// forget lets go of what only the search needs: plans are kept, and places that
// were not taken are most of what there is.
func (s *scene) forget() {
	clear(s.of)
	owners.Put(s.of)
	s.things, s.of, s.variables, s.fixed, s.stock, s.tokens, s.single = nil, nil, nil, nil, nil, nil, nil
}

// bestOf chooses among arrangements of equal smallest margin and purchases the one
// whose other margins are the greatest, one after the other.
func (s *scene) bestOf(ranked []arrange.Arrangement) (best arrangement, index int) {
	ties := 1
	for ties < min(len(ranked), tiesCompared) && ranked[ties].Margin == ranked[0].Margin && ranked[ties].Pieces == ranked[0].Pieces {
		ties++
	}
	var most []float64
	var first *pairs
	if ties > 1 {
		first = new(pairs)
	}
	for i := range ties {
		a := s.layOut(ranked[i].Choices)
		a.measure(s, first)
		margins := a.margins()
		if i == 0 || roomier(margins, most) {
			best, index, most = a, i, margins
		}
	}
	best.rank()
	best.purchases, best.fanArea = ranked[index].Purchases, ranked[index].FanArea
	return best, index
}

// margins are the margins of all gaps, smallest first.
func (a *arrangement) margins() []float64 {
	out := make([]float64, len(a.gaps))
	for i := range a.gaps {
		out[i] = a.gaps[i].margin
	}
	slices.Sort(out)
	return out
}

// roomier reports whether one list of margins is the greater at the first place
// where two differ by more than a micrometre.
func roomier(a, b []float64) bool {
	for i := range min(len(a), len(b)) {
		if d := a[i] - b[i]; d > 1e-3 || d < -1e-3 {
			return d > 0
		}
	}
	return len(a) < len(b)
}

// arrangement lays out a choice and measures it.
func (s *scene) arrangement(choices []arrange.Choice) arrangement {
	a := s.layOut(choices)
	a.measure(s, nil)
	a.rank()
	return a
}

// layOut puts a choice into its boxes.
func (s *scene) layOut(choices []arrange.Choice) arrangement {
	n := len(s.fixed) + 2*len(s.items)
	a := arrangement{things: make([]*thing, 0, n), pieces: make([][]geometry.Piece, 0, n), seats: make([]seatOf, 0, len(s.items)+len(choices))}
	for i := range s.fixed {
		a.put(s.things[i], s.fixed[i].Pieces)
	}
	for _, c := range choices {
		v, o := s.find(c)
		if v == nil {
			continue
		}
		for k := range v.Options[o].Solids {
			a.put(v.places[o].things[k], v.Options[o].Solids[k].Pieces)
		}
		a.seats = append(a.seats, v.places[o].seats...)
	}
	return a
}

func (a *arrangement) put(t *thing, pieces []geometry.Piece) {
	a.things, a.pieces = append(a.things, t), append(a.pieces, pieces)
}

func (s *scene) find(c arrange.Choice) (*variable, int) {
	for i := range s.variables {
		if s.variables[i].Name != c.Variable {
			continue
		}
		for o := range s.variables[i].Options {
			if s.variables[i].Options[o].Name == c.Option {
				return &s.variables[i], o
			}
		}
	}
	return nil, 0
}

// pairs are the gaps of an arrangement by its things, for others that share most of
// them.
type pairs struct {
	pieces [][]geometry.Piece
	at     []gapOf // of thing i and an earlier j at i*(i-1)/2+j; required is apart where they keep none
}

// holds reports whether thing i is the same in the same place.
func (p *pairs) holds(i int, pieces []geometry.Piece) bool {
	return p != nil && i < len(p.pieces) && len(pieces) > 0 && len(pieces) == len(p.pieces[i]) && &pieces[0] == &p.pieces[i][0]
}

// measure finds the tightest gap of every two things that have to keep one. Gaps that
// are known are taken over, and known becomes this arrangement's where it is empty;
// it may be nil.
func (a *arrangement) measure(s *scene, known *pairs) {
	elements, n := len(s.fixed), len(a.things)
	a.gaps = slices.Grow(a.gaps, (n-elements)*(elements+(n-elements)/2))
	same := make([]bool, n)
	for i := range same {
		same[i] = known.holds(i, a.pieces[i])
	}
	begins := known != nil && known.pieces == nil
	if begins {
		known.pieces, known.at = a.pieces, make([]gapOf, n*(n-1)/2)
	}
	for i := elements; i < n; i++ {
		for j := range i {
			at := i*(i-1)/2 + j
			g := gapOf{required: apart}
			if same[i] && same[j] {
				g = known.at[at]
			} else if tight, ok := a.gap(s, j, i); ok {
				g = tight
			}
			if g.required < apart {
				a.gaps = append(a.gaps, g)
			}
			if begins {
				known.at[at] = g
			}
		}
	}
}

// rank sorts the gaps, the tightest first.
func (a *arrangement) rank() {
	slices.SortFunc(a.gaps, func(g, h gapOf) int {
		if g.margin != h.margin { // of all but some
			return cmp.Compare(g.margin, h.margin)
		}
		return cmp.Or(cmp.Compare(g.b, h.b), cmp.Compare(g.a, h.a))
	})
	if len(a.gaps) > 0 {
		a.margin = a.gaps[0].margin
	}
}

// gap is the tightest gap of two things; ok is false where they keep none.
func (a *arrangement) gap(s *scene, i, j int) (g gapOf, ok bool) {
	t, u := a.things[i], a.things[j]
	for p := range a.pieces[i] {
		for q := range a.pieces[j] {
			b, c := &a.pieces[i][p], &a.pieces[j][q]
			mm, reason, counts := s.keeps(t, u, b, c)
			if !counts {
				continue
			}
			if margin := geometry.SignedDistance(&b.Box, &c.Box) - mm; !ok || margin < g.margin {
				g, ok = gapOf{margin, mm, int32(i), int32(j), int32(p), int32(q), reason}, true
			}
		}
	}
	return g, ok
}

// seatOf is where a piece of an item sits, nil where it has no seat.
func (a *arrangement) seatOf(item, piece int) *seatOf {
	for i := range a.seats {
		if a.seats[i].item == item && a.seats[i].piece == piece {
			return &a.seats[i]
		}
	}
	return nil
}
