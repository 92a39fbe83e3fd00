package process

import (
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

func TestWatchParentTellsOnceAndOnlyAfterAChange(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var ppid, told atomic.Int64
		ppid.Store(41)
		go watchParent(41, func() int { return int(ppid.Load()) }, parentPoll, func() { told.Add(1) })
		time.Sleep(10 * parentPoll)
		if n := told.Load(); n != 0 {
			t.Fatalf("told %d times while the parent lived", n)
		}
		ppid.Store(1)
		time.Sleep(10 * parentPoll)
		if n := told.Load(); n != 1 {
			t.Fatalf("told %d times after the parent was gone, want once", n)
		}
	})
}
