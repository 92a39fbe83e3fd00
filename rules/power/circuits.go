package power

import (
	"sync"

	"slipfit.example/rules/kit"
)

// circuits keeps the circuits of builds that came before, by what of their parts has
// to do with the wiring: setting one up takes longer than everything else about a
// check, and the same sockets and cables come again with other loads, rooms, coolers
// and enclosures. It is kept in two generations of bounded size: what was used since
// the last turn, and what was used in the turn before.
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

	mu      sync.Mutex // held while the circuit is set up
	built   bool
	circuit *circuit // nil where there is none
	untold  bool     // there are plugs in sockets and yet no circuit
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

// wire works out, or looks up, which cables and how many plugs feed what.
func (s *survey) wire(c *kit.Case) *wired {
	if s.laid != nil {
		return s.laid
	}
	w := &s.wiring
	w.read(c, s.supply)
	if s.supply == nil {
		s.laid = &wired{built: true}
		return s.laid
	}
	s.key = appendKey(s.key[:0], s.items)
	if s.laid = s.circuits.get(s.key); s.laid != nil {
		w.best.copy(&s.laid.plan)
		return s.laid
	}
	laid := &wired{complete: w.solve()}
	laid.plan.copy(&w.best)
	s.circuits.put(s.key, laid)
	s.laid = laid
	return laid
}

// network is the circuit that the wiring comes to, set up when it is first asked for;
// nil where there is none.
func (s *survey) network(c *kit.Case) *circuit {
	laid := s.wire(c)
	laid.mu.Lock()
	defer laid.mu.Unlock()
	if !laid.built {
		w := &s.wiring
		w.relate() // a plan that was looked up comes without
		laid.circuit = buildCircuit(w, s.items, s.supply)
		laid.untold = laid.circuit == nil && w.best.score[0]+w.best.score[2] > 0
		laid.built = true
	}
	return laid.circuit
}
