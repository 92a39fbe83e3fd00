package kit

import (
	"bytes"
	"sync"

	v1 "slipfit.example/proto/slipfit/v1"
)

// partStoreBytes bounds the encoded size of the parts in one generation of a
// store. A decoded part takes some ten times its encoded size.
const partStoreBytes = 8 << 20

// partOverhead is what a decoded part takes however few bytes it came in: so many
// structures, and its place in the map.
const partOverhead = 2 << 10

// partStore keeps decoded parts by their encoded bytes, in two generations: what
// was used since the last turn, and what was used in the turn before. When the
// younger is full, the older is forgotten. So what is in use stays, and the whole
// is bounded without keeping an order of use.
type partStore struct {
	mu     sync.Mutex
	young  map[string]*v1.Part
	old    map[string]*v1.Part
	size   int // encoded bytes in young, with what each part takes beside
	budget int
}

func newPartStore(budget int) *partStore {
	return &partStore{young: map[string]*v1.Part{}, budget: budget}
}

// get returns the part of these bytes. The bytes are not kept.
func (s *partStore) get(encoded []byte) (*v1.Part, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if p, ok := s.young[string(encoded)]; ok {
		return p, nil
	}
	if p, ok := s.old[string(encoded)]; ok {
		s.keep(string(encoded), p)
		return p, nil
	}
	key := string(encoded)
	p := new(v1.Part)
	if err := p.UnmarshalVT(encoded); err != nil {
		return nil, err
	}
	s.keep(key, p)
	return p, nil
}

// glance returns the part of these bytes, and keeps it only while there is plenty of
// room: of many candidates that are glanced at once, most do not come again, and are not to
// push out those that do.
func (s *partStore) glance(encoded []byte) (*v1.Part, error) {
	s.mu.Lock()
	p, ok := s.young[string(encoded)]
	if !ok {
		p, ok = s.old[string(encoded)]
	}
	room := s.size+len(encoded)+partOverhead <= s.budget/4
	s.mu.Unlock()
	if ok {
		return p, nil
	}
	if room {
		return s.get(encoded)
	}
	p = new(v1.Part)
	return p, p.UnmarshalVTUnsafe(bytes.Clone(encoded)) // its words lie in one piece of memory
}

func (s *partStore) keep(key string, p *v1.Part) {
	size := len(key) + partOverhead
	if s.size+size > s.budget && s.size > 0 {
		s.old, s.young, s.size = s.young, map[string]*v1.Part{}, 0
	}
	s.young[key] = p
	s.size += size
}
