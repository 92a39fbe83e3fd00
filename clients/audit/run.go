package audit

import (
	"context"
	"errors"
	"io"
	"iter"
	"runtime"
	"sync"

	"google.golang.org/protobuf/encoding/protojson"

	"slipfit.example/clients/lines"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// Item is one entry on its way: where it stands, and how to come by it.
type Item struct {
	Place Place
	// Read gives the part and remarks about its reading; without a part, the remarks
	// say why. It is called once, on another goroutine.
	Read func() (*v1.Part, []Remark)
}

// Summary is what a whole run came to.
type Summary struct {
	// Entries were read, Unreadable of them could not be.
	Entries, Unreadable int64
	// Verdicts counts entries by their worst remark.
	Verdicts [5]int64
	// Remarks counts remarks by rule.
	Remarks map[string]int64
	// Answered and Rules are the sums of scores by pack.
	Packs map[string]Score
	// Forgot tells that entries lay so far apart that doubles may have been missed.
	Forgot bool
}

// batch is how many entries travel together between goroutines.
const batchEntries = 64

// Run judges all items and hands the results on in their order. It holds no more
// than a few hundred entries at a time, and hashes of the newest for finding
// doubles. An error of emit or of the judge ends it.
func (a *Auditor) Run(ctx context.Context, items iter.Seq[Item], reach int, emit func(*Result) error) (*Summary, error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	type job struct {
		items   []Item
		results []Result
		parts   []*v1.Part
		done    chan struct{}
	}
	workers := runtime.GOMAXPROCS(0)
	work, order := make(chan *job, workers), make(chan *job, 2*workers)
	var group sync.WaitGroup
	defer group.Wait()
	group.Go(func() {
		defer close(order)
		defer close(work)
		var j *job
		send := func() bool {
			select {
			case order <- j:
			case <-ctx.Done():
				return false
			}
			work <- j
			j = nil
			return true
		}
		for item := range items {
			if j == nil {
				j = &job{done: make(chan struct{})}
			}
			if j.items = append(j.items, item); len(j.items) == batchEntries && !send() {
				return
			}
		}
		if j != nil {
			send()
		}
	})
	for range workers {
		group.Go(func() {
			for j := range work {
				j.results, j.parts = make([]Result, len(j.items)), make([]*v1.Part, len(j.items))
				for i := range j.items {
					if ctx.Err() == nil {
						a.one(&j.items[i], &j.results[i], &j.parts[i], cancel)
					}
				}
				close(j.done)
			}
		})
	}
	summary := &Summary{Remarks: map[string]int64{}, Packs: map[string]Score{}}
	doubles := newTwins(reach)
	for j := range order {
		<-j.done
		if ctx.Err() != nil {
			continue
		}
		for i := range j.results {
			r := &j.results[i]
			if j.parts[i] != nil {
				r.Remarks = append(r.Remarks, doubles.look(r.Place, j.parts[i])...)
			}
			summary.add(r, j.parts[i] == nil)
			if err := emit(r); err != nil {
				cancel(err)
				break
			}
		}
	}
	summary.Forgot = doubles.forgot
	return summary, context.Cause(ctx)
}

func (a *Auditor) one(item *Item, out *Result, part **v1.Part, cancel context.CancelCauseFunc) {
	p, remarks := item.Read()
	if p == nil {
		*out = Result{Place: item.Place, Remarks: remarks}
		return
	}
	r, err := a.Entry(p)
	if err != nil {
		cancel(err)
		return
	}
	r.Place = item.Place
	r.Remarks = append(r.Remarks, remarks...)
	*out, *part = r, p
}

func (s *Summary) add(r *Result, unreadable bool) {
	s.Entries++
	if unreadable {
		s.Unreadable++
	}
	s.Verdicts[r.Worst()]++
	for i := range r.Remarks {
		s.Remarks[r.Remarks[i].Rule]++
	}
	for _, score := range r.Scores {
		total := s.Packs[score.Pack]
		total.Answered += score.Answered
		total.Rules += score.Rules
		s.Packs[score.Pack] = total
	}
}

// Documents gives the parts of a stream of YAML, JSON, lines of JSON or binary
// protobuf. Lines are read where they are judged, everything else where it stands.
func Documents(name string, from io.Reader, resolve func(fromFile, ref string) (*v1.Part, error)) iter.Seq[Item] {
	options := document.Options{Resolve: resolve}
	if document.FormatOf(lines.BaseName(name), nil) == document.FormatLines {
		return ndjson(name, from, options)
	}
	return func(yield func(Item) bool) {
		for entry := range document.ReadAll(lines.BaseName(name), from, options, func() *v1.Part { return new(v1.Part) }) {
			place := Place{File: name, Line: int64(entry.Line), Number: int64(entry.Number)}
			if !yield(Item{place, func() (*v1.Part, []Remark) {
				if entry.Err != nil {
					return nil, unreadable(entry.Err)
				}
				return entry.Message, nil
			}}) {
				return
			}
		}
	}
}

func ndjson(name string, from io.Reader, options document.Options) iter.Seq[Item] {
	options.Format = document.FormatJSON
	return func(yield func(Item) bool) {
		r := lines.NewReader(name, from, document.MaxText)
		for number := int64(1); ; number++ {
			line, err := r.Next()
			if errors.Is(err, io.EOF) {
				return
			}
			if err != nil {
				yield(Item{Place{File: name, Number: number}, func() (*v1.Part, []Remark) { return nil, unreadable(err) }})
				return
			}
			place := Place{File: name, Line: line.Number, Number: number}
			text, length := append([]byte(nil), line.Text...), line.Length
			if !yield(Item{place, func() (*v1.Part, []Remark) { return readLine(options, place, text, length) }}) {
				return
			}
		}
	}
}

// readLine reads one line. What protobuf's own reader takes is taken; only what it
// refuses goes the longer way for the contract's liberties and for the words.
func readLine(options document.Options, place Place, text []byte, length int64) (*v1.Part, []Remark) {
	if length > int64(len(text)) {
		return nil, []Remark{{Rule: RuleUnreadable, Verdict: v1.Verdict_VERDICT_FAIL,
			Text: document.Fault{Reason: tooLong(length)}.String()}}
	}
	part := new(v1.Part)
	if protojson.Unmarshal(text, part) == nil {
		return part, nil
	}
	if _, err := options.Read(place.File, text, part); err != nil {
		return nil, unreadable(err)
	}
	return part, nil
}
