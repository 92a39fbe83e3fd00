package clearance

import (
	"slices"
	"strings"
	"sync"

	v1 "slipfit.example/proto/slipfit/v1"
)

// keptItems is how many items a build may have for its plan to be kept: as many
// as the contract allows.
const keptItems = 64

// planKey is all that a plan depends on. Parts count by their identity, or by that of the
// first of their shape: whoever decodes them keeps one for the same bytes, and a key keeps
// its parts alive.
type planKey struct {
	chassis *v1.Part
	layout  int
	pins    string // encoded
	keep    keep
	items   [keptItems]itemKey
	names   string // of the items, where the plan tells them
}

type itemKey struct {
	part  *v1.Part
	id    string
	count int
}

// store keeps what is asked again and again: shops ask for the same enclosure with
// one part changed, and for the same build once more. Each map is kept in two
// generations, so that what is in use stays and the whole is bounded.
type store struct {
	mu         sync.Mutex
	plans      generations[planKey, *plan]
	enclosures generations[*v1.Part, *enclosure]
	berths     generations[berthKey, []berth]
	shapes     generations[string, *v1.Part]
	alike      generations[*v1.Part, *v1.Part]
}

// Entries of one generation: a plan takes some 100 kB, an enclosure
// and the berths of an item some 30 kB.
const (
	plansKept      = 256
	enclosuresKept = 128
	berthsKept     = 128
	shapesKept     = 512 // of some kB each
)

var kept = newStore()

func newStore() *store {
	return &store{
		plans:      generations[planKey, *plan]{limit: plansKept},
		enclosures: generations[*v1.Part, *enclosure]{limit: enclosuresKept},
		berths:     generations[berthKey, []berth]{limit: berthsKept},
		shapes:     generations[string, *v1.Part]{limit: shapesKept},
		alike:      generations[*v1.Part, *v1.Part]{limit: shapesKept},
	}
}

// generations is a map that forgets what was not asked for since it filled up
// twice.
type generations[K comparable, V any] struct {
	limit      int
	young, old map[K]V
}

func (g *generations[K, V]) get(k *K) (v V, ok bool) {
	if v, ok = g.young[*k]; ok {
		return v, true
	}
	if v, ok = g.old[*k]; ok {
		g.put(k, v)
	}
	return v, ok
}

func (g *generations[K, V]) put(k *K, v V) {
	if g.young == nil || len(g.young) >= g.limit {
		g.old, g.young = g.young, map[K]V{}
	}
	g.young[*k] = v
}

// enclosureOf reads a chassis, or remembers it.
func (s *store) enclosureOf(part *v1.Part) *enclosure {
	s.mu.Lock()
	e, ok := s.enclosures.get(&part)
	s.mu.Unlock()
	if ok {
		return e
	}
	e = readEnclosure(part)
	s.mu.Lock()
	s.enclosures.put(&part, e)
	s.mu.Unlock()
	return e
}

// planOf searches, or remembers what it found. Where nobody reads why nothing fits, it may
// be told with the names of other parts of the same shapes.
func (s *store) planOf(k *planKey, items []seatedItem, unread bool) *plan {
	p, ok := s.known(k)
	if ok && !unread && p.names() {
		k.names = namesOf(items)
		p, ok = s.known(k)
	}
	if ok {
		return p
	}
	e := s.enclosureOf(k.chassis)
	if k.layout < 0 || k.layout >= len(e.layouts) {
		return nowhere
	}
	own := k.owned()
	p = makePlan(e, own.layout, ownItems(items), own.placements(), own.keep)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.plans.put(own, p)
	if own.names == "" && p.names() {
		own.names = namesOf(items)
		s.plans.put(own, p)
	}
	return p
}

func (s *store) known(k *planKey) (*plan, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.plans.get(k)
}

// names reports whether a plan's own words tell parts by their names.
func (p *plan) names() bool { return len(p.reasons)+len(p.changes) > 0 }

func namesOf(items []seatedItem) string {
	var b strings.Builder
	for i := range items {
		b.WriteString(items[i].name)
		b.WriteByte(0)
	}
	return b.String()
}

// owned is a key whose names are its own: those of a case live no longer than it.
func (k *planKey) owned() *planKey {
	out := *k
	for i := range out.items {
		out.items[i].id = strings.Clone(out.items[i].id)
	}
	return &out
}

// ownItems are items whose names are their own.
func ownItems(items []seatedItem) []seatedItem {
	out := slices.Clone(items)
	for i := range out {
		out[i].id, out[i].name = strings.Clone(out[i].id), strings.Clone(out[i].name)
	}
	return out
}

// placements decodes the fixed choices.
func (k *planKey) placements() []*v1.Placement {
	choices := new(v1.ArrangementChoice)
	if err := choices.UnmarshalVT([]byte(k.pins)); err != nil {
		panic("fixed choices cannot be read back: " + err.Error()) // they were encoded here
	}
	return choices.Placements
}

// nowhere is the plan of a layout without geometry.
var nowhere = &plan{}
