package document

import (
	"google.golang.org/protobuf/proto"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// Options says how documents are read. The zero value reads documents that
// stand on their own.
type Options struct {
	// Resolve fetches the part that a reference names: "file.yaml#id" or
	// "file.yaml", relative to the folder of fromFile. [FileResolver] makes one.
	// Without it, a reference is an error. The part becomes the reader's own.
	Resolve func(fromFile, ref string) (*slipfitv1.Part, error)
	// Format is how the document is written down; FormatUnknown lets
	// [FormatOf] tell.
	Format Format
}

// Read reads one document that stands on its own into a message, which it
// empties first. Name is the file's name, for messages and to tell the format.
// The error is an [*Error].
func Read(name string, data []byte, into proto.Message) error {
	_, err := Options{}.Read(name, data, into)
	return err
}

// Read reads one document into a message, which it empties first, and gives the
// places of its values in the text. After an error the message holds what could
// be read, to no further use than showing it. The error is an [*Error].
func (o Options) Read(name string, data []byte, into proto.Message) (*Places, error) {
	proto.Reset(into)
	format := o.Format
	if format == FormatUnknown {
		format = FormatOf(name, data)
	}
	if format == FormatBinary {
		return nil, within(decode(data, into), name, 0)
	}
	root, err := parse(format, data)
	if err == nil {
		err = o.fill(name, root, into)
	}
	return &Places{root: root, descriptor: into.ProtoReflect().Descriptor()}, within(err, name, 0)
}

// parse turns text into a tree.
func parse(format Format, data []byte) (*node, error) {
	text, err := plainText(data)
	if err != nil {
		return nil, err
	}
	read := parseJSON
	if format == FormatYAML {
		read = parseYAML
	}
	root, err := read(text)
	if err == nil && root.kind == nullNode {
		return nil, faultf(1, 1, "", "the document is empty")
	}
	return root, err
}

// fill turns a tree into a message and holds it against the limits.
func (o Options) fill(name string, root *node, into proto.Message) error {
	f := filler{file: name, resolve: o.Resolve}
	if err := f.fill(root, into.ProtoReflect()); err != nil {
		return err
	}
	return withinLimits(into)
}

// withinLimits refuses a message that is too large when it is encoded.
func withinLimits(message proto.Message) error {
	if size := proto.Size(message); size > MaxEncoded {
		return faultf(0, 0, "", "the document is %d bytes long once it is encoded; it may have %d, so leave something out", size, MaxEncoded)
	}
	return nil
}
