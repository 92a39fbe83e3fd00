package pipeline

import (
	"sync/atomic"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// asker is who wants a task answered.
type asker interface {
	// abandoned reports that nobody waits for the answer any more.
	abandoned() bool
	// packAt is a pack of the ruleset that the task's pack is a place in.
	packAt(pack int) *rulesetPack
	// settled is told what became of the task, once.
	settled(pack int, o outcome)
}

// task is one check, or one candidate, on its way to one pack.
type task struct {
	run     asker
	pack    int // place in the asker's ruleset
	check   []byte
	facts   []*packv1.Fact
	line    *packv1.Line // not nil: the task is a candidate, and check is empty
	part    []byte       // of a candidate
	share   *float64     // smallest margin share of a candidate so far, nil for none
	waiting int64        // nanoseconds at which it was queued or sent

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
	brief    *packv1.Brief // about a candidate, instead of findings and verdict
	failure  *failure      // not nil: there is no answer of the pack
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

// bytes is how much of a batch's room the task takes.
func (t *task) bytes() int { return len(t.check) + len(t.part) }

// together is how many of its kind may travel in one batch.
func (t *task) together() int {
	if t.line.GetLook() == packv1.Look_LOOK_ALONE {
		return batchGlances
	}
	return batchTasks
}
