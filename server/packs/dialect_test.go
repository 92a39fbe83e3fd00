//go:build linux

package packs

import (
	"errors"
	"strings"
	"syscall"
	"testing"
	"time"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// A pack that was built when there was only version 1 of the protocol answers its
// handshake with 1 whatever the host offers, and a host of today works with it.
func TestPacksOfTheFirstProtocolServe(t *testing.T) {
	for _, mode := range []string{"of protocol 1", "of protocol 1 with forms"} {
		t.Run(mode, func(t *testing.T) {
			s := supervise(t, Options{}, self(t, "old", mode))
			i := live(t, s.Pack("old"))
			if got := mustTell(t, i, "hoot"); got != "hoot" {
				t.Errorf("it answers %q", got)
			}
			if d := i.Describe(); d.GetProtocol() != 1 || len(d.Capabilities) != 0 {
				t.Errorf("it counts as %v", d)
			}
		})
	}
}

func TestPackMayNotChangeItsProtocolMidway(t *testing.T) {
	s := supervise(t, once(), self(t, "wavering", "answers in an older protocol"))
	const want = "its handshake settles on version 2 of the pack protocol and it answers in version 1; build it with one release of the pack kit"
	if err := s.Pack("wavering").Status().LastError; err == nil || !strings.HasSuffix(err.Error(), want) {
		t.Errorf("error %v", err)
	}
}

// Every version from the oldest to the newest has a dialect, and no other.
func TestDialectsAreThoseThatThisBuildSpeaks(t *testing.T) {
	for v := plug.OldestProtocol; v <= plug.Protocol; v++ {
		if d, ok := dialects[v]; !ok || int(d.question.GetProtocol()) != v {
			t.Errorf("version %d is spoken as %v", v, d.question)
		}
	}
	if want := plug.Protocol - plug.OldestProtocol + 1; len(dialects) != want {
		t.Errorf("there are %d dialects, want %d", len(dialects), want)
	}
}

// Who is wanted is asked at every start: what comes up again must not be another.
func TestEveryStartIsAskedForAcceptance(t *testing.T) {
	starts := 0 // one process starts after another
	launch := self(t, "power", "serves")
	launch.Accept = func(*packv1.DescribeResponse) error {
		if starts++; starts > 1 {
			return errors.New("it is no longer the same")
		}
		return nil
	}
	s := supervise(t, Options{Restart: Restart{Stable: 1, First: 1, Longest: time.Hour}}, launch)
	first := live(t, s.Pack("power"))
	_ = syscall.Kill(first.PID(), syscall.SIGKILL)
	eventually(t, 20*time.Second, "the second start is not refused", func() bool {
		status := s.Pack("power").Status()
		return !status.Serving && status.LastError != nil && strings.HasSuffix(status.LastError.Error(), "did not start: it is no longer the same")
	})
}
