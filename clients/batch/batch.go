// Package batch takes files of builds or parts, and matrices of parts, through the
// rules: in chunks, in bounded memory, and so that a run which is killed can be run
// again and ends as if it had never been: every line of the input has exactly one
// line in the output.
//
// Beside the output OUT lie, until it is whole, OUT.part and OUT.journal. For each
// chunk, in the order of the input: its answers are written to OUT.part, OUT.part
// is synced, one record that says how far input and output have come is appended
// to OUT.journal, OUT.journal is synced. A run that finds a journal cuts OUT.part
// back to the last record, reads the input up to it once more, sees by a checksum
// that it is still the same, and goes on. At the end OUT.part is synced and becomes
// OUT by renaming, the folder is synced, and the journal goes.
package batch

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync"
	"sync/atomic"
	"syscall"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Line is one line of the input on its way.
type Line struct {
	// Number counts the input's lines, or a matrix's pairs, 1 first.
	Number int64
	// Text is the document as JSON, or as binary protobuf in a chunk of that form.
	Text []byte
	// Label is written into the answer: members of a JSON object without its braces.
	Label string
	// Refusal says why the line is no document at all; nil where it may be one.
	Refusal *v1.Refusal
}

// Chunk is a number of lines that travel together.
type Chunk struct {
	// ID is the same for the same lines of the same job.
	ID string
	// Job says what is asked of the lines.
	Job *Job
	// Binary tells that texts are protobuf's binary encoding.
	Binary bool
	Lines  []Line

	through checkpoint
}

// Job says what is asked of every line.
type Job struct {
	// Parts tells that lines are parts, each judged on its own; else they are builds.
	Parts bool
	// Detail is how much of an answer is written.
	Detail Detail
	// File is what parts that a line names by their file are looked up from.
	File string
	// Suffix is what every question has in common: encoded fields of
	// slipfit.v1.CheckRequest behind the build.
	Suffix []byte
}

// Detail is how much of an answer is written.
type Detail int

// The details.
const (
	// DetailFindings writes the verdict and the findings that do not pass, in brief.
	DetailFindings Detail = iota
	// DetailVerdicts writes the verdict alone.
	DetailVerdicts
	// DetailFull writes the whole answer by protobuf's JSON mapping.
	DetailFull
)

// Details are the words for details, in their order.
var Details = []string{"findings", "verdicts", "full"}

// Tally counts lines by their outcome.
type Tally struct {
	// Verdicts counts answers by slipfit.v1.Verdict.
	Verdicts [5]int64 `json:"verdicts"`
	// Refused were no good documents.
	Refused int64 `json:"refused"`
}

// Lines is how many lines were answered or refused.
func (t Tally) Lines() int64 {
	n := t.Refused
	for _, v := range t.Verdicts {
		n += v
	}
	return n
}

// Add counts another tally in.
func (t *Tally) Add(o Tally) {
	for i, v := range o.Verdicts {
		t.Verdicts[i] += v
	}
	t.Refused += o.Refused
}

// Answer is what became of one chunk: one line of output for each of its lines, in
// their order.
type Answer struct {
	Output []byte
	Tally  Tally
}

// Source gives the lines of the input in chunks. It is used by one goroutine.
type Source interface {
	// Next gives the next chunk; io.EOF after the last. A chunk may come with an error
	// that says where the input broke off: its lines are good.
	Next() (*Chunk, error)
	// Skip passes over what a checkpoint says is done, and fails where the input is
	// not the one that it speaks of.
	Skip(checkpoint) error
	// Done tells how much of how much has been read, in whatever unit; total is 0 where
	// it is not known.
	Done() (done, total int64)
}

// Processor answers chunks. It is used by several goroutines.
type Processor interface {
	Process(context.Context, *Chunk) (Answer, error)
}

// Options say how a run goes.
type Options struct {
	// Output is the file to write.
	Output string
	// InFlight is how many chunks may be on their way at once. Zero: 4.
	InFlight int
	// Identity is a digest of all that decides the output beside the input's lines.
	Identity string
	// Tell is told after each chunk. May be nil.
	Tell func(Progress)

	disk disk // nil: the real one
}

// Progress is how far a run has come.
type Progress struct {
	Tally       Tally
	Resumed     int64 // lines that an earlier run had done
	Done, Total int64 // of the input, by Source.Done
}

// ErrDone says that the output was whole already.
var ErrDone = errors.New("the output is whole already")

// Run takes a source through a processor into the output. It returns what all runs
// together came to. An error leaves output and journal so that another run
// completes it; one about the input alone comes after everything that could be read
// has been answered, and the output is whole but for what the input lacks.
func Run(ctx context.Context, source Source, processor Processor, o Options) (Progress, error) {
	if o.InFlight <= 0 {
		o.InFlight = 4
	}
	if o.disk == nil {
		o.disk = realDisk{}
	}
	j, err := openJournal(o.disk, o.Output, o.Identity)
	if err != nil {
		return Progress{}, err
	}
	defer j.close()
	if err := source.Skip(j.at); err != nil {
		return Progress{}, err
	}
	r := &runner{source: source, processor: processor, journal: j, options: o, progress: Progress{Tally: j.at.Tally, Resumed: j.at.Tally.Lines()}}
	broken, err := r.all(ctx)
	if err == nil && broken == nil {
		err = j.finish()
	}
	return r.progress, errors.Join(broken, err)
}

type runner struct {
	source    Source
	processor Processor
	journal   *journal
	options   Options
	progress  Progress
	done      atomic.Int64
	total     atomic.Int64
}

// flight is one chunk on its way.
type flight struct {
	chunk  *Chunk
	answer Answer
	err    error
	landed chan struct{}
}

// all takes every chunk through. broken says where the input broke off, err why the
// run had to end.
func (r *runner) all(ctx context.Context) (broken, err error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	flights := make(chan *flight, r.options.InFlight)
	seats := make(chan struct{}, r.options.InFlight)
	var group sync.WaitGroup
	defer group.Wait()
	defer cancel()
	group.Go(func() {
		defer close(flights)
		for {
			select {
			case seats <- struct{}{}:
			case <-ctx.Done():
				return
			}
			chunk, err := r.source.Next()
			done, total := r.source.Done()
			r.done.Store(done)
			r.total.Store(total)
			if chunk != nil {
				f := &flight{chunk: chunk, landed: make(chan struct{})}
				group.Go(func() {
					f.answer, f.err = r.processor.Process(ctx, chunk)
					close(f.landed)
				})
				flights <- f
			}
			if err != nil {
				if !errors.Is(err, io.EOF) {
					broken = err
				}
				return
			}
		}
	})
	for f := range flights {
		<-f.landed
		if err == nil {
			err = r.land(f)
			if err != nil {
				cancel()
			}
		}
		<-seats
	}
	if err == nil && ctx.Err() != nil {
		err = context.Cause(ctx)
	}
	return broken, err
}

func (r *runner) land(f *flight) error {
	if f.err != nil {
		return fmt.Errorf("lines %d to %d were not answered: %w", f.chunk.Lines[0].Number, f.chunk.Lines[len(f.chunk.Lines)-1].Number, f.err)
	}
	if n := f.answer.Tally.Lines(); n != int64(len(f.chunk.Lines)) {
		return fmt.Errorf("lines %d to %d came back as %d answers instead of %d; this is a fault of the program, and nothing of them was written",
			f.chunk.Lines[0].Number, f.chunk.Lines[len(f.chunk.Lines)-1].Number, n, len(f.chunk.Lines))
	}
	at := f.chunk.through
	at.Tally = r.journal.at.Tally
	at.Tally.Add(f.answer.Tally)
	if err := r.journal.commit(f.answer.Output, at); err != nil {
		return err
	}
	r.progress.Tally = at.Tally
	r.progress.Done, r.progress.Total = r.done.Load(), r.total.Load()
	if c, ok := r.processor.(interface{ Committed(*Chunk) }); ok {
		c.Committed(f.chunk)
	}
	if r.options.Tell != nil {
		r.options.Tell(r.progress)
	}
	return nil
}

// inWords adds what to do to an error of the disk.
func inWords(name string, err error) error {
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return fmt.Errorf("there is no room left for %s; make some and run the same command again, it goes on where it stopped: %w", name, err)
	case errors.Is(err, syscall.EACCES), errors.Is(err, syscall.EROFS), errors.Is(err, syscall.EPERM):
		return fmt.Errorf("%s cannot be written: %w", name, err)
	}
	return err
}
