package batch

import (
	"errors"
	"fmt"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// Resolve finds the part that a document names by its file; fromFile is the file
// that names it.
type Resolve func(fromFile, ref string) (*v1.Part, error)

// questions makes encoded slipfit.v1.CheckRequest of lines.
type questions struct {
	encoder *encoder
	resolve Resolve
}

func newQuestions(resolve Resolve) *questions { return &questions{newEncoder(), resolve} }

// requestBuild is a field number of slipfit.v1.CheckRequest.
const requestBuild = 1

// question encodes what is asked of one line, or refuses it.
func (q *questions) question(c *Chunk, i int) ([]byte, *v1.Refusal) {
	line := &c.Lines[i]
	if line.Refusal != nil {
		return nil, line.Refusal
	}
	encoded := line.Text
	if !c.Binary {
		var refusal *v1.Refusal
		if encoded, refusal = q.encode(c.Job, line.Text); refusal != nil {
			return nil, refusal
		}
	}
	if c.Job.Parts {
		item := protowire.AppendString(protowire.AppendTag(nil, itemID, protowire.BytesType), "entry")
		item = protowire.AppendBytes(protowire.AppendTag(item, itemPart, protowire.BytesType), encoded)
		encoded = protowire.AppendBytes(protowire.AppendTag(nil, buildItems, protowire.BytesType), item)
	}
	check := make([]byte, 0, len(encoded)+len(c.Job.Suffix)+wireOverhead)
	check = protowire.AppendBytes(protowire.AppendTag(check, requestBuild, protowire.BytesType), encoded)
	check = append(check, c.Job.Suffix...)
	if len(check) > document.MaxEncoded {
		return nil, refusalf("the document takes %d bytes encoded, more than the %d allowed; leave out parts that are not used", len(check), document.MaxEncoded)
	}
	return check, nil
}

func refusalf(format string, args ...any) *v1.Refusal {
	reason := fmt.Sprintf(format, args...)
	return &v1.Refusal{Reason: &reason}
}

type message interface {
	proto.Message
	MarshalVT() ([]byte, error)
}

// encode reads a line of JSON. What protobuf's own reader takes is taken; only what
// it refuses goes the longer way for the contract's liberties and for the words.
func (q *questions) encode(job *Job, text []byte) ([]byte, *v1.Refusal) {
	if !job.Parts {
		if encoded, err := q.encoder.build(text); err == nil {
			return encoded, nil
		}
	}
	m := job.empty()
	if protojson.Unmarshal(text, m) != nil {
		if refusal := q.read(job.File, text, m); refusal != nil {
			return nil, refusal
		}
	}
	encoded, err := m.MarshalVT()
	if err != nil {
		return nil, refusalf("the document cannot be encoded: %v", err)
	}
	return encoded, nil
}

// empty is a document of the kind that the job's lines are.
func (j *Job) empty() message {
	if j.Parts {
		return new(v1.Part)
	}
	return new(v1.Build)
}

// read reads a document with the contract's liberties.
func (q *questions) read(file string, text []byte, m message) *v1.Refusal {
	options := document.Options{Format: document.FormatJSON, Resolve: q.resolve}
	_, err := options.Read(file, text, m)
	var faults *document.Error
	switch {
	case err == nil:
		return nil
	case errors.As(err, &faults):
		return document.Refusal(faults.Violations())
	}
	return refusalf("%v", err)
}
