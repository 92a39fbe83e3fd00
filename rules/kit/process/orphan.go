package process

import (
	"io"
	"os"
	"time"

	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// parentPoll is how often a pack looks who its parent is.
const parentPoll = 500 * time.Millisecond

// watchHost calls gone once when the host is gone. It notices in two ways, since
// each has a gap: standard input ends at once but only where the host keeps the
// other end, and the parent's number changes always but is looked at twice a
// second, and not at all if the parent was gone before the pack looked first.
func watchHost(gone func()) {
	if os.Getenv(plug.EnvWatchStdin) == "1" {
		go func() {
			_, _ = io.Copy(io.Discard, os.Stdin)
			gone()
		}()
	}
	// The number is taken here: the goroutine may not run before the host is gone.
	go watchParent(os.Getppid(), os.Getppid, parentPoll, gone)
}

// watchParent calls gone when ppid answers something else than first.
func watchParent(first int, ppid func() int, every time.Duration, gone func()) {
	ticker := time.NewTicker(every)
	defer ticker.Stop()
	for range ticker.C {
		if ppid() != first {
			gone()
			return
		}
	}
}
