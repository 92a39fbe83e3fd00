package batch

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
)

// everNew gives lines of builds whose card no other line has.
type everNew struct {
	n, lines int
	rest     []byte
}

func (e *everNew) Read(p []byte) (int, error) {
	if len(e.rest) == 0 {
		if e.n == e.lines {
			return 0, io.EOF
		}
		e.n++
		e.rest = fmt.Appendf(nil, `{"id":"b-%d","items":[{"id":"enclosure","part":{"id":"owl","chassis":{"width_mm":190}}},`+
			`{"id":"card","part":{"id":"card-%d","name":"Card number %d of a long catalogue of the archive","card":{"length_mm":%d}}}]}`+"\n", e.n, e.n, e.n, e.n%400)
	}
	n := copy(p, e.rest)
	e.rest = e.rest[n:]
	return n, nil
}

// passing passes everything.
type passing struct{ answer []byte }

func (p passing) Check(context.Context, []byte) ([]byte, *v1.Refusal, error) {
	return p.answer, nil, nil
}

// weighed answers chunks directly and weighs the heap every so often.
type weighed struct {
	*Direct
	chunks int
	heap   []uint64
}

func (w *weighed) Process(ctx context.Context, c *Chunk) (Answer, error) {
	a := NewAnswers(c)
	for i := range c.Lines {
		output, o, err := w.Line(ctx, c, i)
		if err != nil {
			return Answer{}, err
		}
		if err := a.Set(i, output, o); err != nil {
			return Answer{}, err
		}
	}
	if w.chunks++; w.chunks%10 == 0 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		w.heap = append(w.heap, m.HeapAlloc)
	}
	return a.Answer()
}

// Over the second half of the lines the heap is never larger than over the first, but
// for what it swings: nothing is kept of a line that has been written. Fifty bytes
// kept of each would show.
func TestMemoryDoesNotGrowWithLines(t *testing.T) {
	const n = 120_000
	source, err := NewLineSource("in", &everNew{lines: n}, 0, &Job{Detail: DetailVerdicts})
	if err != nil {
		t.Fatal(err)
	}
	verdict := v1.Verdict_VERDICT_PASS
	answer, err := (&v1.CheckResponse{Verdict: &verdict}).MarshalVT()
	if err != nil {
		t.Fatal(err)
	}
	w := &weighed{Direct: NewDirect(Checkers{DetailVerdicts: passing{answer}}, nil)}
	out := filepath.Join(t.TempDir(), "out.ndjson.zst")
	p, err := Run(t.Context(), source, w, Options{Output: out, InFlight: 1})
	if err != nil || p.Tally.Verdicts[verdict] != n {
		t.Fatalf("%v, %d lines pass", err, p.Tally.Verdicts[verdict])
	}
	half := len(w.heap) / 2
	first, second := greatest(w.heap[:half]), greatest(w.heap[half:])
	t.Logf("at most %d kB over the first half, %d kB over the second", first>>10, second>>10)
	if second > first+n/2*50 {
		t.Errorf("the heap grows from %d kB to %d kB over %d lines", first>>10, second>>10, n/2)
	}
}

func greatest(of []uint64) (most uint64) {
	for _, v := range of {
		most = max(most, v)
	}
	return most
}
