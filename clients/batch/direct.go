package batch

import (
	"context"
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Checker answers one encoded slipfit.v1.CheckRequest with an encoded
// slipfit.v1.CheckResponse, or refuses it.
type Checker interface {
	Check(ctx context.Context, check []byte) (answer []byte, refusal *v1.Refusal, err error)
}

// Checkers are the checkers for lines of each Detail: their answers need to have no
// more findings than such a line tells.
type Checkers [3]Checker

// Direct answers lines by checkers within this process.
type Direct struct {
	checkers  Checkers
	questions *questions
}

// NewDirect answers lines by checkers. Parts that a line names by their file are
// read by resolve; without it, they are refused.
func NewDirect(checkers Checkers, resolve Resolve) *Direct {
	return &Direct{checkers, newQuestions(resolve)}
}

// Line answers the line at place i of a chunk. The error is the checker's, or says
// that its answer cannot be read.
func (d *Direct) Line(ctx context.Context, c *Chunk, i int) (output []byte, o Outcome, err error) {
	detail := c.Job.Detail
	if detail < 0 || int(detail) >= len(d.checkers) {
		return nil, 0, fmt.Errorf("line %d asks for detail %d, which this version does not know", c.Lines[i].Number, detail)
	}
	check, refusal := d.questions.question(c, i)
	var answer []byte
	if refusal == nil {
		if answer, refusal, err = d.checkers[detail].Check(ctx, check); err != nil {
			return nil, 0, fmt.Errorf("line %d was not answered: %w", c.Lines[i].Number, err)
		}
	}
	if refusal != nil {
		return c.Lines[i].refused(nil, refusal), Refused, nil
	}
	output, verdict, silent, err := c.Lines[i].answered(make([]byte, 0, lineGuess), answer, detail)
	if err != nil || silent {
		return nil, Unsure, err
	}
	return output, Outcome(verdict), nil
}

// lineGuess is the room that a line of output gets at first, in bytes.
const lineGuess = 2 << 10
