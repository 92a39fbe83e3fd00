package mounting

import (
	"bytes"
	"encoding/binary"
	"errors"
	"slices"
	"strings"
	"sync"
	"unsafe"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/assembly"
)

// memory keeps what follows from a build's parts and their arrangement alone, since
// the same build is asked about again: with another room, other loads, or for its
// sheet after its check. It is kept in two generations of bounded size: what was used
// since the last turn, and what was used in the turn before. Nothing in it changes
// once it is there.
type memory struct {
	mu         sync.Mutex
	young, old map[string]*known
	most       int // in one generation
}

// mostKnown bounds one generation. A build takes some 80 kB.
const mostKnown = 128

func newMemory(most int) *memory { return &memory{young: map[string]*known{}, most: most} }

// known is what was worked out about a build.
type known struct {
	arranged []byte     // the fact as it came
	parts    []*v1.Part // kept, so that no other part comes to lie at their places
	fact     *v1.Arrangement
	boxes    *bodies
	playMM   float64
	sat      []seating
	order    *ordering
}

// get finds what is known about the parts of a key in an arrangement.
func (m *memory) get(key, arranged []byte, playMM float64) *known {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, ok := m.young[string(key)]
	if !ok {
		if k, ok = m.old[string(key)]; ok {
			m.keep(string(key), k)
		}
	}
	if !ok || k.playMM != playMM || !bytes.Equal(k.arranged, arranged) {
		return nil
	}
	return k
}

func (m *memory) put(key []byte, k *known) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.keep(string(key), k)
}

func (m *memory) keep(key string, k *known) {
	if len(m.young) >= m.most {
		m.old, m.young = m.young, make(map[string]*known, m.most)
	}
	m.young[key] = k
}

// recall takes over what is known about the case, and reports whether something is.
func (s *scene) recall(arranged []byte) bool {
	s.known = nil
	s.items, s.key = s.items[:0], s.key[:0]
	for it := range s.c.AllItems() {
		s.items = append(s.items, it)
		// Decoded parts are shared between checks, so that a part is known by where it lies.
		s.key = binary.LittleEndian.AppendUint64(s.key, uint64(uintptr(unsafe.Pointer(it.Part))))
		s.key = binary.LittleEndian.AppendUint32(s.key, uint32(it.Count))
		s.key = append(binary.AppendUvarint(s.key, uint64(len(it.ID))), it.ID...)
	}
	for _, d := range s.c.Build.Order {
		for _, text := range [...]string{d.GetFirst(), d.GetThen(), d.GetWhy()} {
			s.key = append(binary.AppendUvarint(s.key, uint64(len(text))), text...)
		}
	}
	if len(arranged) == 0 {
		return false
	}
	s.known = s.memory.get(s.key, arranged, s.c.Parameter(&holePlay).Nominal)
	if s.known == nil {
		return false
	}
	s.fact = s.known.fact
	s.boxes, s.sorted = s.known.boxes, true
	s.sat, s.seated = append(s.sat[:0], s.known.sat...), true
	for i := range s.sat {
		s.sat[i].item, s.sat[i].to = s.items[s.sat[i].itemAt], s.items[s.sat[i].toAt]
	}
	order := *s.known.order
	order.tasks = slices.Clone(order.tasks)
	for i := range order.tasks {
		order.tasks[i].item = s.items[order.tasks[i].itemAt]
	}
	s.order = &order
	return true
}

// remember keeps what was worked out for a case, with texts of its own: those of a
// case live no longer than it.
func (s *scene) remember() {
	arranged, there := s.c.FactBytes(factArrangement)
	if s.known != nil || !there || len(arranged) == 0 || s.chassis == nil || s.layout == nil || s.seeks() {
		return
	}
	k := &known{
		arranged: bytes.Clone(arranged), fact: s.fact, boxes: s.placed(), playMM: s.c.Parameter(&holePlay).Nominal,
		sat: slices.Clone(s.seatings()), order: s.ordered().owned(),
	}
	for _, it := range s.items {
		k.parts = append(k.parts, it.Part)
	}
	for i := range k.sat {
		x := &k.sat[i]
		if x.flawed {
			return
		}
		x.itemAt, x.toAt = slices.Index(s.items, x.item), slices.Index(s.items, x.to)
		x.item, x.to, x.overAt, x.beneath = nil, nil, nil, [2]string{}
		x.place, x.met.by = strings.Clone(x.place), cloned(x.met.by)
	}
	for i := range k.order.tasks {
		t := &k.order.tasks[i]
		t.itemAt, t.item = slices.Index(s.items, t.item), nil
	}
	s.memory.put(s.key, k)
}

// seeks reports whether a shortlist seeks a part for some item: what it asks about once
// does not come again.
func (s *scene) seeks() bool { return slices.ContainsFunc(s.items, s.c.Sought) }

// owned is an ordering whose texts are its own.
func (o *ordering) owned() *ordering {
	out := &ordering{tasks: slices.Clone(o.tasks), sequence: o.sequence, err: o.err}
	for i := range out.tasks {
		t := &out.tasks[i]
		t.name, t.action, t.caution = strings.Clone(t.name), strings.Clone(t.action), strings.Clone(t.caution)
		t.cables, t.more = cloned(t.cables), cloned(t.more)
	}
	out.plan = assembly.Plan{Steps: slices.Clone(o.plan.Steps), Relations: slices.Clone(o.plan.Relations)}
	for i := range out.plan.Steps {
		step := &out.plan.Steps[i]
		step.Name, step.Ways = strings.Clone(step.Name), slices.Clone(step.Ways)
		for k := range step.Ways {
			step.Ways[k].Name = strings.Clone(step.Ways[k].Name)
		}
	}
	for i := range out.plan.Relations {
		out.plan.Relations[i].Why = strings.Clone(out.plan.Relations[i].Why)
	}
	var circle *assembly.CycleError
	if errors.As(o.err, &circle) {
		out.err = &assembly.CycleError{Steps: circle.Steps, Names: cloned(circle.Names), Whys: cloned(circle.Whys)}
	}
	return out
}

func cloned(list []string) []string {
	out := slices.Clone(list)
	for i := range out {
		out[i] = strings.Clone(out[i])
	}
	return out
}
