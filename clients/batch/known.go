package batch

import (
	"sync"
)

// known keeps what texts were encoded to: the lines of a batch repeat the same few
// chassis, boards and cards. It forgets by halves, so that it stays within twice its
// size.
type known struct {
	encode   func(text []byte) ([]byte, error)
	greatest int // bytes that one half may take

	mu       sync.Mutex
	now, old half
	size     int
}

// half is what was used since the last turn, or in the turn before.
type half struct {
	whole map[string]*text
	// begin finds texts by how they begin, where the end of one is not known yet.
	begin map[string][]*text
}

// text is a text with its encoding.
type text struct {
	text    string
	encoded []byte
}

const (
	beginning  = 64 // bytes by which a text is guessed
	beginAlike = 8  // texts with one beginning that are guessed at

	textOverhead = 256 // bytes that a text takes in the maps, however short it is
)

func newKnown(greatest int, encode func([]byte) ([]byte, error)) *known {
	return &known{encode: encode, greatest: greatest, now: newHalf(), old: newHalf()}
}

func newHalf() half { return half{map[string]*text{}, map[string][]*text{}} }

// get gives the encoding of a whole text.
func (k *known) get(t []byte) ([]byte, error) {
	k.mu.Lock()
	found := k.now.whole[string(t)]
	if found == nil {
		if found = k.old.whole[string(t)]; found != nil {
			k.keep(found)
		}
	}
	k.mu.Unlock()
	if found != nil {
		return found.encoded, nil
	}
	encoded, err := k.encode(t)
	if err != nil {
		return nil, err
	}
	k.mu.Lock()
	k.keep(&text{string(t), encoded})
	k.mu.Unlock()
	return encoded, nil
}

// guess finds a known text at the beginning of a longer one, and how long it is.
// It is for texts that tell their own end, as objects of JSON do: none of them is
// the beginning of another.
func (k *known) guess(longer []byte) (encoded []byte, length int) {
	if len(longer) < beginning {
		return nil, 0
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	for _, t := range k.now.begin[string(longer[:beginning])] {
		if begins(longer, t.text) {
			return t.encoded, len(t.text)
		}
	}
	for _, t := range k.old.begin[string(longer[:beginning])] {
		if begins(longer, t.text) {
			k.keep(t)
			return t.encoded, len(t.text)
		}
	}
	return nil, 0
}

func begins(longer []byte, t string) bool {
	return len(longer) >= len(t) && string(longer[:len(t)]) == t
}

func (k *known) keep(t *text) {
	k.now.whole[t.text] = t
	if len(t.text) >= beginning {
		alike := k.now.begin[t.text[:beginning]]
		if len(alike) < beginAlike {
			k.now.begin[t.text[:beginning]] = append(alike, t)
		}
	}
	if k.size += len(t.text) + len(t.encoded) + textOverhead; k.size > k.greatest {
		k.old, k.now, k.size = k.now, newHalf(), 0
	}
}
