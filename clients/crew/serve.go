package crew

import (
	"bufio"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"time"

	"slipfit.example/clients/batch"
)

// Answerer answers the line at place i of a chunk.
type Answerer interface {
	Line(ctx context.Context, c *batch.Chunk, i int) (output []byte, o batch.Outcome, err error)
}

// heldBack is how long answers may lie in a hand before they are told.
const heldBack = 10 * time.Millisecond

// Serve is the life of a hand: it says by which rules it answers, and answers chunks
// line by line as they come. Where in ends, it calls gone, which should end the
// process: whoever started it does not want the rest. The error says why it cannot
// go on.
func Serve(ctx context.Context, in io.Reader, out io.Writer, rules string, answerer Answerer, gone func()) error {
	h := &serving{out: bufio.NewWriterSize(out, 256<<10), answerer: answerer}
	if err := errors.Join(writeFrame(h.out, frameReady, []byte(rules)), h.out.Flush()); err != nil {
		return fmt.Errorf("nobody hears that the process is ready: %w", err)
	}
	type frame struct {
		kind byte
		data []byte
		err  error
	}
	frames := make(chan frame, 1)
	go func() {
		r := bufio.NewReaderSize(in, 256<<10)
		for {
			kind, data, err := readFrame(r)
			if err != nil {
				if errors.Is(err, io.EOF) {
					gone()
				}
				frames <- frame{err: err}
				return
			}
			frames <- frame{kind, data, nil}
		}
	}()
	for f := range frames {
		if errors.Is(f.err, io.EOF) {
			return nil
		}
		if f.err != nil {
			return fmt.Errorf("a chunk cannot be read: %w", f.err)
		}
		chunk, err := batch.DecodeChunk(f.data)
		if err != nil {
			return err
		}
		if err := h.chunk(ctx, chunk, f.kind == frameCareful); err != nil {
			return err
		}
	}
	return nil
}

type serving struct {
	out      *bufio.Writer
	answerer Answerer
	told     time.Time
}

func (h *serving) chunk(ctx context.Context, c *batch.Chunk, careful bool) error {
	h.told = time.Now()
	for i := range c.Lines {
		output, outcome, err := h.answerer.Line(ctx, c, i)
		if err != nil {
			output, outcome = nil, batch.Unsure
		}
		head := binary.AppendUvarint(nil, uint64(i))
		head = append(head, byte(outcome))
		if err := writeFrame(h.out, frameLine, head, output); err != nil {
			return fmt.Errorf("an answer cannot be told: %w", err)
		}
		if now := time.Now(); careful || now.Sub(h.told) > heldBack || i == len(c.Lines)-1 {
			h.told = now
			if err := h.out.Flush(); err != nil {
				return fmt.Errorf("answers cannot be told: %w", err)
			}
		}
	}
	return nil
}

// lineOf reads the frame of one line.
func lineOf(data []byte) (i int, o batch.Outcome, output []byte, err error) {
	place, n := binary.Uvarint(data)
	if n <= 0 || len(data) <= n || place > 1<<30 {
		return 0, 0, nil, errors.New("an answer has no place; this is a fault of the program")
	}
	return int(place), batch.Outcome(data[n]), data[n+1:], nil
}
