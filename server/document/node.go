package document

// nodeKind is the kind of a value in a text document.
type nodeKind uint8

const (
	nullNode nodeKind = iota
	boolNode
	numberNode
	textNode
	listNode
	recordNode
)

// String names the kind as a user would, with its article.
func (k nodeKind) String() string {
	switch k {
	case nullNode:
		return "null"
	case boolNode:
		return "true or false"
	case numberNode:
		return "a number"
	case textNode:
		return "text"
	case listNode:
		return "a list"
	default:
		return "a mapping"
	}
}

// node is a value of a YAML or JSON document with its place. A node that YAML
// aliases name is shared between its places.
type node struct {
	kind nodeKind
	// text is the value of a text, the digits of a number as written, or
	// "true" or "false".
	text string
	// line and column count from 1; columns count characters.
	line, column int
	// items are the elements of a list.
	items []*node
	// entries are the fields of a mapping in the order of the text.
	entries []entry
}

// entry is one field of a mapping.
type entry struct {
	key          string
	line, column int
	value        *node
}

// find gives the entry's value under one of the keys, nil where there is none.
func (n *node) find(keys ...string) *entry {
	for i := range n.entries {
		for _, key := range keys {
			if n.entries[i].key == key {
				return &n.entries[i]
			}
		}
	}
	return nil
}

// keySet finds a key that stands twice in a mapping. Small mappings are
// searched in place.
type keySet struct {
	index map[string]int
}

const smallMapping = 16

func (s *keySet) duplicate(entries []entry, key string) *entry {
	if len(entries) < smallMapping {
		for i := range entries {
			if entries[i].key == key {
				return &entries[i]
			}
		}
		return nil
	}
	if s.index == nil {
		s.index = make(map[string]int, 2*len(entries))
		for i := range entries {
			s.index[entries[i].key] = i
		}
	}
	if i, ok := s.index[key]; ok {
		return &entries[i]
	}
	s.index[key] = len(entries)
	return nil
}
