package power

import (
	"encoding/binary"
	"sync"
	"unsafe"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// circuits keeps the circuits of builds that came before, by the parts that they
// are made of: setting one up takes longer than everything else about a check, and
// the same parts come again with other loads, rooms and enclosures. It is kept in
// two generations of bounded size: what was used since the last turn, and what was
// used in the turn before.
type circuits struct {
	mu         sync.Mutex
	young, old map[string]*wired
	most       int // in one generation
}

// mostCircuits bounds one generation. A circuit with its workspace takes some
// 50 kB.
const mostCircuits = 128

func newCircuits(most int) *circuits {
	return &circuits{young: map[string]*wired{}, most: most}
}

// wired is what is known about the wiring of some parts once and for all.
type wired struct {
	plan     plan
	complete bool
	circuit  *circuit   // nil where there is none
	untold   bool       // there are plugs in sockets and yet no circuit
	parts    []*v1.Part // kept, so that no other part comes to lie at their places
}

// get finds what is known for a key.
func (s *circuits) get(key []byte) *wired {
	s.mu.Lock()
	defer s.mu.Unlock()
	if w, ok := s.young[string(key)]; ok {
		return w
	}
	w, ok := s.old[string(key)]
	if ok {
		s.keep(string(key), w)
	}
	return w
}

func (s *circuits) put(key []byte, w *wired) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.keep(string(key), w)
}

func (s *circuits) keep(key string, w *wired) {
	if len(s.young) >= s.most {
		s.old, s.young = s.young, make(map[string]*wired, s.most)
	}
	s.young[key] = w
}

// appendKey appends what tells builds apart whose wiring differs: which parts they
// have, in their order, and how many of each. Decoded parts are shared between
// checks, so that a part is known by where it lies.
func appendKey(key []byte, items []*kit.Item) []byte {
	for _, it := range items {
		key = binary.LittleEndian.AppendUint64(key, uint64(uintptr(unsafe.Pointer(it.Part))))
		key = binary.LittleEndian.AppendUint32(key, uint32(it.Count))
	}
	return key
}

// wire works out, or looks up, which cable feeds what.
func (s *survey) wire(c *kit.Case) *wired {
	if s.laid != nil {
		return s.laid
	}
	w := &s.wiring
	w.read(c, s.supply)
	if s.supply == nil {
		s.laid = &wired{}
		return s.laid
	}
	s.key = appendKey(s.key[:0], s.items)
	if s.laid = s.circuits.get(s.key); s.laid != nil {
		w.best.copy(&s.laid.plan)
		return s.laid
	}
	laid := &wired{complete: w.solve()}
	laid.plan.copy(&w.best)
	laid.circuit = buildCircuit(w, s.items, s.supply)
	laid.untold = laid.circuit == nil && w.best.score[0]+w.best.score[2] > 0
	for _, it := range s.items {
		laid.parts = append(laid.parts, it.Part)
	}
	s.circuits.put(s.key, laid)
	s.laid = laid
	return laid
}
