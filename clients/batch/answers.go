package batch

import (
	"bytes"
	"fmt"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Outcome is what became of one line.
type Outcome int

// The outcomes beside slipfit.v1.Verdict, whose numbers are outcomes too.
const (
	// Refused is the outcome of a line that is no good document.
	Refused Outcome = 5
	// Unsure is that of a line whose answer misses a pack: it has no line of output
	// yet, since the same question may get another answer at another time.
	Unsure Outcome = 6
)

// Count counts one outcome in.
func (t *Tally) Count(o Outcome) {
	switch {
	case o == Refused:
		t.Refused++
	case o >= 0 && int(o) < len(t.Verdicts):
		t.Verdicts[o]++
	}
}

// Answers gathers what comes back for one chunk, in whatever order, each line once.
type Answers struct {
	chunk *Chunk
	lines [][]byte
	tally Tally
}

// NewAnswers gathers answers for a chunk.
func NewAnswers(c *Chunk) *Answers { return &Answers{chunk: c, lines: make([][]byte, len(c.Lines))} }

// Set takes the output of the line at place i. A second one is the same and is
// passed over.
func (a *Answers) Set(i int, output []byte, o Outcome) error {
	if i < 0 || i >= len(a.lines) || o < 0 || o > Refused {
		return fmt.Errorf("an answer for place %d of %d with the outcome %d was not asked", i, len(a.lines), o)
	}
	if a.lines[i] == nil {
		a.lines[i] = output
		a.tally.Count(o)
	}
	return nil
}

// Refuse refuses the line at place i.
func (a *Answers) Refuse(i int, r *v1.Refusal) {
	if a.lines[i] == nil {
		a.lines[i] = a.chunk.Lines[i].refused(nil, r)
		a.tally.Count(Refused)
	}
}

// SetAll takes the answer of a chunk that was made of some of the lines, by their
// places.
func (a *Answers) SetAll(places []int, answer Answer) error {
	lines := slices.Collect(bytes.Lines(answer.Output))
	if len(lines) != len(places) || answer.Tally.Lines() != int64(len(places)) {
		return fmt.Errorf("%d lines came back as %d; this is a fault of the program", len(places), len(lines))
	}
	for k, i := range places {
		a.lines[i] = lines[k]
	}
	a.tally.Add(answer.Tally)
	return nil
}

// Open gives the places that have no answer yet.
func (a *Answers) Open() (places []int) {
	for i, line := range a.lines {
		if line == nil {
			places = append(places, i)
		}
	}
	return places
}

// Answer puts the lines together; an error names the first that is missing.
func (a *Answers) Answer() (Answer, error) {
	if open := a.Open(); len(open) > 0 {
		return Answer{}, fmt.Errorf("line %d got no answer", a.chunk.Lines[open[0]].Number)
	}
	return Answer{slices.Concat(a.lines...), a.tally}, nil
}

// RefuseAll answers every line of a chunk with one refusal.
func RefuseAll(c *Chunk, reason string) Answer {
	a := NewAnswers(c)
	for i := range c.Lines {
		a.Refuse(i, &v1.Refusal{Reason: &reason})
	}
	answer, err := a.Answer()
	if err != nil {
		panic(err) // every line has been refused
	}
	return answer
}
