package document

import (
	"errors"
	"io"
	"iter"

	"google.golang.org/protobuf/proto"
)

// Entry is one document of a stream.
type Entry[M proto.Message] struct {
	// File is the name of the stream, as the caller gave it.
	File string
	// Number counts the documents of the stream, 1 first.
	Number int
	// Line is where the document starts, 1 first; 0 in binary streams.
	Line int
	// Message is the document; of no use where Err is set.
	Message M
	// Places tells where its values stand.
	Places *Places
	// Err says why it cannot be read: an [*Error], or what the stream's reader
	// returned, after which the stream ends.
	Err error
}

// ReadAll reads a stream of documents: YAML with "---" between them, a line of
// JSON each, or one document of JSON or binary protobuf. A YAML or JSON document
// that is a list counts as one document for each element. A document that cannot
// be read gives an entry that says so, and the stream goes on behind it. Every
// entry gets a message of its own from make.
func ReadAll[M proto.Message](name string, from io.Reader, options Options, make func() M) iter.Seq[Entry[M]] {
	return func(yield func(Entry[M]) bool) {
		number := 0
		deliver := func(e Entry[M]) bool {
			number++
			e.File, e.Number = name, number
			e.Err = within(e.Err, name, number)
			return yield(e)
		}
		for raw, err := range split(name, from, options.Format) {
			if !entries(name, raw, err, options, make, deliver) {
				return
			}
		}
	}
}

// entries delivers the documents of one piece of text.
func entries[M proto.Message](name string, raw piece, err error, options Options, make func() M, deliver func(Entry[M]) bool) bool {
	var zero M
	if err != nil {
		return deliver(Entry[M]{Line: raw.line, Message: zero, Err: err})
	}
	if raw.format == FormatBinary {
		message := make()
		err := decode(raw.data, message)
		return deliver(Entry[M]{Message: message, Err: err})
	}
	root, err := parse(raw.format, raw.data)
	if err != nil {
		return deliver(Entry[M]{Line: raw.line, Message: zero, Err: shift(err, raw.line-1)})
	}
	moveDown(root, raw.line-1, map[*node]bool{})
	roots := []*node{root}
	if root.kind == listNode {
		roots = root.items
	}
	for _, root := range roots {
		message := make()
		err := options.fill(name, root, message)
		places := &Places{root: root, descriptor: message.ProtoReflect().Descriptor()}
		if !deliver(Entry[M]{Line: root.line, Message: message, Places: places, Err: err}) {
			return false
		}
	}
	return true
}

// shift moves the places of an error down to where its piece starts.
func shift(err error, lines int) error {
	var e *Error
	if errors.As(err, &e) {
		for i := range e.Faults {
			if e.Faults[i].Line > 0 {
				e.Faults[i].Line += lines
			} else {
				e.Faults[i].Line = lines + 1
			}
		}
	}
	return err
}

// moveDown does the same with the places of a tree.
func moveDown(n *node, lines int, done map[*node]bool) {
	if lines == 0 || done[n] {
		return
	}
	done[n] = true
	n.line += lines
	for i := range n.entries {
		n.entries[i].line += lines
		moveDown(n.entries[i].value, lines, done)
	}
	for _, item := range n.items {
		moveDown(item, lines, done)
	}
}
