package batch

import (
	"bytes"
	"encoding/json"
	"errors"
	"sync"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// partCache keeps encoded parts by their JSON text: most of a build is parts, and
// the lines of a batch repeat the same few chassis, boards and cards. It forgets
// by halves, so that it stays within twice its size.
type partCache struct {
	mu       sync.Mutex
	now, old map[string][]byte
	size     int
}

// cachedBytes bounds the texts of one half.
const cachedBytes = 32 << 20

func newPartCache() *partCache { return &partCache{now: map[string][]byte{}} }

func (c *partCache) get(text []byte) ([]byte, error) {
	c.mu.Lock()
	encoded, ok := c.now[string(text)]
	if !ok {
		if encoded, ok = c.old[string(text)]; ok {
			c.put(string(text), encoded)
		}
	}
	c.mu.Unlock()
	if ok {
		return encoded, nil
	}
	part := new(v1.Part)
	if err := protojson.Unmarshal(text, part); err != nil {
		return nil, err
	}
	encoded, err := part.MarshalVT()
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	c.put(string(text), encoded)
	c.mu.Unlock()
	return encoded, nil
}

func (c *partCache) put(text string, encoded []byte) {
	c.now[text] = encoded
	if c.size += len(text) + len(encoded); c.size > cachedBytes {
		c.old, c.now, c.size = c.now, map[string][]byte{}, 0
	}
}

// errUnusual sends a line the longer way.
var errUnusual = errors.New("the line is not of the usual form")

// encodeBuild encodes a build whose text has the usual form: an object with a list
// of items, each an object with one part. It sets every part aside, has protobuf's
// own reader read what is left, and puts the encoded parts into their items. Any
// other form, and any fault, is left to the longer way, which has the words for it.
func (c *partCache) encodeBuild(text []byte) ([]byte, error) {
	if !json.Valid(text) {
		return nil, errUnusual
	}
	s := &splitter{text: text}
	if !s.build() {
		return nil, errUnusual
	}
	build := new(v1.Build)
	if err := protojson.Unmarshal(s.rest.Bytes(), build); err != nil || len(build.Items) != len(s.parts) {
		return nil, errUnusual
	}
	items := build.Items
	build.Items = nil
	out, err := build.MarshalVT()
	if err != nil {
		return nil, err
	}
	for i, item := range items {
		if item == nil {
			return nil, errUnusual
		}
		encoded, err := item.MarshalVT()
		if err != nil {
			return nil, err
		}
		if s.parts[i] != nil {
			part, err := c.get(s.parts[i])
			if err != nil {
				return nil, errUnusual
			}
			encoded = protowire.AppendBytes(protowire.AppendTag(encoded, itemPart, protowire.BytesType), part)
		}
		out = protowire.AppendBytes(protowire.AppendTag(out, buildItems, protowire.BytesType), encoded)
	}
	return out, nil
}

// splitter takes valid JSON apart: rest is the text without the parts.
type splitter struct {
	text  []byte
	at    int
	rest  bytes.Buffer
	from  int // what of text is not in rest yet
	parts [][]byte
}

func (s *splitter) build() bool {
	found := false
	ok := s.object(func(key []byte) bool {
		if string(key) != "items" {
			s.skip()
			return true
		}
		if found || s.peek() != '[' {
			return false
		}
		found = true
		return s.list(s.item)
	})
	s.space()
	if !ok || s.at != len(s.text) {
		return false
	}
	s.rest.Write(s.text[s.from:])
	return true
}

// item takes the part out of one item, and leaves a null in its place, which is the
// same as none.
func (s *splitter) item() bool {
	if s.peek() != '{' {
		return false
	}
	var part []byte
	ok := s.object(func(key []byte) bool {
		start := s.at
		s.skip()
		if string(key) != "part" {
			return true
		}
		if part != nil || s.text[start] != '{' {
			return false
		}
		part = s.text[start:s.at]
		s.rest.Write(s.text[s.from:start])
		s.rest.WriteString("null")
		s.from = s.at
		return true
	})
	s.parts = append(s.parts, part)
	return ok
}

func (s *splitter) space() {
	for s.at < len(s.text) && (s.text[s.at] == ' ' || s.text[s.at] == '\t' || s.text[s.at] == '\n' || s.text[s.at] == '\r') {
		s.at++
	}
}

func (s *splitter) peek() byte {
	s.space()
	if s.at < len(s.text) {
		return s.text[s.at]
	}
	return 0
}

// object calls visit with the reader at each value; keys with escapes are unusual.
func (s *splitter) object(visit func(key []byte) bool) bool {
	if s.peek() != '{' {
		return false
	}
	s.at++
	for s.peek() != '}' {
		start := s.at
		s.skip()
		key := s.text[start+1 : s.at-1]
		if bytes.IndexByte(key, '\\') >= 0 {
			return false
		}
		s.space()
		s.at++ // the colon
		s.space()
		if !visit(key) {
			return false
		}
		if s.peek() == ',' {
			s.at++
		}
	}
	s.at++
	return true
}

func (s *splitter) list(visit func() bool) bool {
	s.at++
	for s.peek() != ']' {
		if !visit() {
			return false
		}
		if s.peek() == ',' {
			s.at++
		}
	}
	s.at++
	return true
}

// skip passes over one value of valid JSON.
func (s *splitter) skip() {
	s.space()
	for depth := 0; s.at < len(s.text); {
		switch c := s.text[s.at]; c {
		case '"':
			s.at++
			for s.text[s.at] != '"' {
				if s.text[s.at] == '\\' {
					s.at++
				}
				s.at++
			}
			s.at++
		case '{', '[':
			depth++
			s.at++
			continue
		case '}', ']':
			if depth == 0 {
				return
			}
			depth--
			s.at++
		case ',', ':', ' ', '\t', '\n', '\r':
			if depth == 0 {
				return
			}
			s.at++
			continue
		default:
			for s.at < len(s.text) && !bytes.ContainsRune([]byte(",:]} \t\r\n"), rune(s.text[s.at])) {
				s.at++
			}
		}
		if depth == 0 {
			return
		}
	}
}
