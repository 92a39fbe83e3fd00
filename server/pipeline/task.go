package pipeline

import (
	"sync/atomic"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// task is one check on its way to one pack.
type task struct {
	run     *run
	pack    int // place in the run's ruleset
	check   []byte
	facts   []*packv1.Fact
	waiting int64 // nanoseconds at which it was queued or sent

	// alone marks a task whose batch died with its pack. It is tried once more, in
	// a batch of its own and with nothing beside it, so that a check that kills
	// packs takes no other down with it.
	alone   bool
	settled atomic.Bool
}

// outcome is what became of a task.
type outcome struct {
	findings []byte
	verdict  v1.Verdict
	counts   []uint32
	facts    []*packv1.Fact
	failure  *failure // not nil: there is no answer of the pack
}

// failure says why a pack did not answer.
type failure struct {
	kind   failureKind
	reason string
}

// failureKind is the short name of a failure, for metrics and message keys.
type failureKind string

const (
	failureMissing failureKind = "missing" // the pack does not run
	failureLate    failureKind = "late"    // it did not answer in time
	failureDied    failureKind = "died"    // it ended while it had the check
	failureBroke   failureKind = "broke"   // it answered that it cannot
)

// settle hands the outcome on, unless the task was settled before.
func (t *task) settle(o outcome) {
	if t.settled.CompareAndSwap(false, true) {
		t.run.settled(t.pack, o)
	}
}

func (t *task) fail(kind failureKind, reason string) {
	t.settle(outcome{failure: &failure{kind, reason}})
}
