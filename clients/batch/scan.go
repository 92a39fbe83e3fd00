package batch

import "bytes"

// What follows passes over JSON without knowing what it means. It finds where values
// end and does not hold them to the grammar: whoever takes a value has it read.

func (b *taking) space() {
	for b.at < len(b.text) && (b.text[b.at] == ' ' || b.text[b.at] == '\t' || b.text[b.at] == '\n' || b.text[b.at] == '\r') {
		b.at++
	}
}

// next is the next byte that is no space, 0 at the end.
func (b *taking) next() byte {
	b.space()
	if b.at < len(b.text) {
		return b.text[b.at]
	}
	return 0
}

func (b *taking) takes(c byte) bool {
	if b.next() != c || c == 0 {
		return false
	}
	b.at++
	return true
}

// object calls visit with the reader before each value.
func (b *taking) object(visit func(key []byte) bool) bool {
	if !b.takes('{') {
		return false
	}
	if b.takes('}') {
		return true
	}
	for {
		key, ok := b.key()
		if !ok || !b.takes(':') {
			return false
		}
		b.space()
		if !visit(key) {
			return false
		}
		if b.takes('}') {
			return true
		}
		if !b.takes(',') {
			return false
		}
	}
}

func (b *taking) list(visit func() bool) bool {
	if !b.takes('[') {
		return false
	}
	if b.takes(']') {
		return true
	}
	for {
		if !visit() {
			return false
		}
		if b.takes(']') {
			return true
		}
		if !b.takes(',') {
			return false
		}
	}
}

// key takes a name as the contract's fields have them; any other is unusual.
func (b *taking) key() ([]byte, bool) {
	if !b.takes('"') {
		return nil, false
	}
	start := b.at
	for b.at < len(b.text) {
		c := b.text[b.at]
		b.at++
		switch {
		case c == '"':
			return b.text[start : b.at-1], b.at-1 > start
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '_':
		default:
			return nil, false
		}
	}
	return nil, false
}

// value takes one value, from here to its end.
func (b *taking) value() ([]byte, bool) {
	start := b.at
	for depth := 0; b.at < len(b.text); {
		switch c := b.text[b.at]; c {
		case '"':
			if !b.skipString() {
				return nil, false
			}
		case '{', '[':
			depth++
			b.at++
			continue
		case '}', ']':
			if depth == 0 {
				return nil, false
			}
			depth--
			b.at++
		case ',', ':', ' ', '\t', '\n', '\r':
			if depth == 0 {
				return nil, false
			}
			b.at++
			continue
		default:
			for b.at < len(b.text) && !ends(b.text[b.at]) {
				b.at++
			}
		}
		if depth == 0 {
			return b.text[start:b.at], true
		}
	}
	return nil, false
}

// ends tells whether a byte ends a number or a word.
func ends(c byte) bool {
	switch c {
	case ',', ':', ']', '}', '[', '{', '"', ' ', '\t', '\n', '\r':
		return true
	}
	return false
}

// skipString passes over a string, from its first quote to its last.
func (b *taking) skipString() bool {
	b.at++
	for {
		n := bytes.IndexByte(b.text[b.at:], '"')
		if n < 0 {
			return false
		}
		escapes := 0
		for k := b.at + n - 1; k >= b.at && b.text[k] == '\\'; k-- {
			escapes++
		}
		b.at += n + 1
		if escapes%2 == 0 {
			return true
		}
	}
}
