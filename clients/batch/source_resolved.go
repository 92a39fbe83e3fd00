package batch

import (
	"bytes"

	"google.golang.org/protobuf/encoding/protojson"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Resolved is a source whose lines stand for themselves: parts that a line names by
// their file are read here and put into it, for chunks that are answered where those
// files are not.
type Resolved struct {
	Source
	questions *questions
}

// NewResolved resolves the lines of a source.
func NewResolved(from Source, resolve Resolve) *Resolved {
	return &Resolved{from, newQuestions(resolve)}
}

// Next gives the next chunk. A line whose parts cannot be read is refused, with the
// reason.
func (r *Resolved) Next() (*Chunk, error) {
	c, err := r.Source.Next()
	if c == nil || c.Binary {
		return c, err
	}
	for i := range c.Lines {
		r.resolve(c.Job, &c.Lines[i])
	}
	return c, err
}

func (r *Resolved) resolve(job *Job, l *Line) {
	if l.Refusal != nil || !mayRefer(l.Text) {
		return
	}
	m := job.empty()
	if l.Refusal = r.questions.read(job.File, l.Text, m); l.Refusal != nil {
		return
	}
	text, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(m)
	if err != nil {
		l.Refusal = &v1.Refusal{Reason: ptr("the document cannot be written with its parts: " + err.Error())}
		return
	}
	l.Text = text
}

func ptr[T any](v T) *T { return &v }

// mayRefer tells whether somewhere in a line a part is given as a string. A line that
// says so inside of a string is read as well, which is of no harm.
func mayRefer(text []byte) bool {
	for {
		n := bytes.Index(text, []byte(`"part"`))
		if n < 0 {
			return false
		}
		text = bytes.TrimLeft(text[n+len(`"part"`):], " \t\r\n")
		if len(text) == 0 || text[0] != ':' {
			continue
		}
		text = bytes.TrimLeft(text[1:], " \t\r\n")
		if len(text) > 0 && text[0] == '"' {
			return true
		}
	}
}
