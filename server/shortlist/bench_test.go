package shortlist

import (
	"container/heap"
	"sync"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
)

// waiting puts contenders on a bench of three steps: step and key of each.
func waiting(l *List, contenders ...[2]float64) *bench {
	b := &bench{list: l, queues: make([]queue, 3)}
	for place, c := range contenders {
		heap.Push(&b.queues[int(c[0])], &contender{entry: Entry{Place: uint64(place)}, step: int(c[0]), key: c[1]})
	}
	return b
}

func placesOf(lot []*contender) (out []uint64) {
	for _, c := range lot {
		out = append(out, c.entry.Place)
	}
	return out
}

// Who has the best bound goes first, with others of the same step as long as they are the
// best; where all are judged anyway, or facts take much memory, who has come farthest.
func TestWhoGoesFirst(t *testing.T) {
	contenders := [][2]float64{{0, 0.9}, {1, 0.95}, {2, 0.1}, {1, 0.92}, {1, 0.5}, {2, 0.2}}
	all := func(*v1.Candidate) error { return nil }
	for name, test := range map[string]struct {
		list  *List
		facts int
		want  []uint64
	}{
		"by bounds":                {&List{Most: 1}, 0, []uint64{1, 3}},
		"all to the end":           {&List{Most: 1, Decline: all}, 0, []uint64{5, 2}},
		"facts that take too much": {&List{Most: 1}, heldFacts, []uint64{5, 2}},
	} {
		b := waiting(test.list, contenders...)
		b.facts = test.facts
		got := placesOf(b.lot(b.best()))
		if len(got) != len(test.want) || got[0] != test.want[0] || got[1] != test.want[1] {
			t.Errorf("%s: %v go first, want %v", name, got, test.want)
		}
	}
}

// Nobody waits for candidates for which there is no room: few large ones fill the bench,
// and are looked at, whether all are told or the best. What has come farther need not wait.
func TestAFullBenchIsReady(t *testing.T) {
	for name, decline := range map[string]func(*v1.Candidate) error{"all": func(*v1.Candidate) error { return nil }, "the best": nil} {
		l := &List{Most: 1, Decline: decline}
		b := &bench{list: l, queues: make([]queue, 2)}
		b.keep(&contender{key: 1, entry: Entry{Part: make([]byte, heldBytes-1)}})
		if b.ready() {
			t.Errorf("%s: one candidate is a lot, with room for more", name)
		}
		b.keep(&contender{key: 2, entry: Entry{Place: 1, Part: make([]byte, 1)}})
		if !b.full() || !b.ready() {
			t.Errorf("%s: two candidates that fill the bench wait for more", name)
		}
	}
	b := &bench{list: &List{Most: 1, Decline: func(*v1.Candidate) error { return nil }}, queues: make([]queue, 2)}
	b.keep(&contender{step: 1})
	if !b.ready() {
		t.Error("a candidate that is to be judged to the end waits for others")
	}
}

// What cannot come among the best is set aside, and takes no room any more.
func TestWhatIsSetAsideTakesNoRoom(t *testing.T) {
	l := &List{Most: 1, best: []*contender{{key: 1}}}
	b := &bench{list: l, queues: make([]queue, 2)}
	b.keep(&contender{entry: Entry{Place: 7, Part: make([]byte, 10)}, key: 2})
	b.keep(&contender{entry: Entry{Place: 8, Part: make([]byte, 10)}, key: 0.5})
	if b.held != 1 || b.bytes != 10 || l.counts.setAside != 1 {
		t.Errorf("%d candidates of %d bytes are held and %d set aside, want 1 of 10 and 1", b.held, b.bytes, l.counts.setAside)
	}
	b.turn = sync.NewCond(&l.mu)
	b.clear()
	if b.held != 0 || b.bytes != 0 || l.counts.setAside != 2 || b.best() != -1 {
		t.Errorf("after all are set aside %d of %d bytes are held and %d set aside", b.held, b.bytes, l.counts.setAside)
	}
}
