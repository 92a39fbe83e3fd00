//go:build linux

package packs

import (
	"context"
	"strings"
	"testing"
	"time"
)

func TestPacksAreAddedAndRemovedWhileOthersServe(t *testing.T) {
	s := supervise(t, Options{}, self(t, "power", "plain"))
	old := live(t, s.Pack("power"))
	added, err := s.Add(t.Context(), self(t, "power", "plain"))
	if err != nil {
		t.Fatal(err)
	}
	another := live(t, added)
	if another.PID() == old.PID() || len(s.Packs()) != 2 {
		t.Errorf("%d packs, processes %d and %d", len(s.Packs()), old.PID(), another.PID())
	}
	if err := s.Remove(added); err != nil {
		t.Fatal(err)
	}
	awaitClosed(t, another.Done(), time.Second, "the removed pack is not done")
	if _, err := s.Pack("power").Instance(); err != nil || len(s.Packs()) != 1 || len(children()) != 1 {
		t.Errorf("after the removal %d packs and %d processes are left, error %v", len(s.Packs()), len(children()), err)
	}
	if err := s.Remove(added); err == nil || err.Error() != `the pack "power" is not kept` {
		t.Errorf("removed twice: %v", err)
	}
}

func TestAPackThatDoesNotComeUpIsNotAdded(t *testing.T) {
	s := supervise(t, Options{}, self(t, "power", "plain"))
	live(t, s.Pack("power"))
	if _, err := s.Add(t.Context(), self(t, "lost", "ends early")); err == nil || !strings.Contains(err.Error(), `the pack "lost"`) {
		t.Errorf("error %v", err)
	}
	if _, err := s.Add(t.Context(), Launch{Name: "No"}); err == nil {
		t.Error("a launch without a command is taken")
	}
	if len(s.Packs()) != 1 || len(children()) != 1 {
		t.Errorf("%d packs and %d processes are left", len(s.Packs()), len(children()))
	}
	if err := s.Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Add(t.Context(), self(t, "late", "plain")); err == nil {
		t.Error("a stopped supervisor takes packs")
	}
}

// A pack that is only being tried changes nothing about what serves: nobody is to
// take the service out of its load balancer for it.
func TestAPackOnTrialDoesNotCount(t *testing.T) {
	s := supervise(t, Options{StartTimeout: time.Second}, self(t, "power", "plain"))
	live(t, s.Pack("power"))
	added := make(chan error, 1)
	go func() {
		_, err := s.Add(t.Context(), self(t, "slow", "sleeps early"))
		added <- err
	}()
	eventually(t, 20*time.Second, "no process on trial", func() bool { return len(children()) == 2 })
	if !s.Ready() || len(s.Packs()) != 1 || len(s.Statuses()) != 1 {
		t.Errorf("ready %v with %d packs while another is tried", s.Ready(), len(s.Packs()))
	}
	if err := <-added; err == nil {
		t.Error("a pack that never greets was added")
	}
}
