//go:build linux

package packs

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// patient are options that never give up on a pack that fails all the time.
func patient() Options {
	return Options{Restart: Restart{Stable: time.Nanosecond}}
}

func TestPackServesAndSaysWhatItIs(t *testing.T) {
	for name, o := range map[string]Options{"with certificates": {}, "without": {NoTLS: true}} {
		t.Run(name, func(t *testing.T) {
			s := supervise(t, o, self(t, "power", "serves"))
			i := live(t, s.Pack("power"))
			if got := mustTell(t, i, "hello"); got != "hello" {
				t.Errorf("answer %q", got)
			}
			if d := i.Describe(); d.GetName() != "power" || d.GetVersion() != "1.2.3" {
				t.Errorf("description %v", d)
			}
			got := s.Pack("power").Status()
			if !got.Serving || got.Version != "1.2.3" || got.Restarts != 0 || got.LastError != nil || got.PID != i.PID() {
				t.Errorf("status %+v", got)
			}
			if !s.Ready() || s.Pack("thermal") != nil {
				t.Error("ready must be true, an unknown pack nil")
			}
		})
	}
}

func TestCrashCostsOnePackAndIsExplained(t *testing.T) {
	cases := []struct{ order, reason string }{
		{"panic", `the pack "bad" is gone: it ended with exit status 2; it said "panic: a screw is loose`},
		{"goroutine-panic", `the pack "bad" is gone: it ended with exit status 2; it said "panic: a screw is loose elsewhere`},
		{"exit", `the pack "bad" is gone: it ended with exit status 5`},
		{"out-of-memory", `the pack "bad" is gone: it ended with exit status 2; it said "fatal error: `},
	}
	s := supervise(t, patient(), self(t, "bad", "serves"), self(t, "good", "serves"))
	good := live(t, s.Pack("good"))
	for n, c := range cases {
		t.Run(c.order, func(t *testing.T) {
			i := live(t, s.Pack("bad"))
			if _, err := tell(i, c.order); status.Code(err) != codes.Unavailable && status.Code(err) != codes.Canceled {
				t.Errorf("the call ended with %v", err)
			}
			next := liveAfter(t, s.Pack("bad"), i)
			if err := i.Err(); err == nil || !strings.HasPrefix(err.Error(), c.reason) {
				t.Errorf("reason %v\nwant   %s", err, c.reason)
			}
			if got := mustTell(t, next, "again"); got != "again" {
				t.Errorf("the next instance answered %q", got)
			}
			if got := s.Pack("bad").Status(); got.Restarts != n+1 || got.LastError == nil || !got.Serving {
				t.Errorf("status %+v", got)
			}
			if mustTell(t, good, "hello") != "hello" {
				t.Error("the other pack suffers")
			}
		})
	}
}

// stop(2) with SIGSTOP: the process is there, its socket accepts, and nothing answers.
func TestHangingPackIsReplaced(t *testing.T) {
	s := supervise(t, Options{}, self(t, "stuck", "serves"))
	i := live(t, s.Pack("stuck"))
	pid := i.PID()
	if err := syscall.Kill(pid, syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	eventually(t, 3*time.Second, "the stopped process lives on", func() bool { return !alive(pid) })
	next := liveAfter(t, s.Pack("stuck"), i)
	if mustTell(t, next, "hello") != "hello" {
		t.Error("the next instance does not answer")
	}
	const want = `the pack "stuck" was killed: it did not answer 2 health probes: no answer within 750ms`
	if err := i.Err(); err == nil || err.Error() != want {
		t.Errorf("reason %v\nwant   %s", err, want)
	}
}

func TestHangingPackDoesNotHoldUpTheStop(t *testing.T) {
	s := supervise(t, Options{Probe: Probe{Timeout: time.Hour}}, self(t, "stuck", "serves"), self(t, "well", "serves"))
	i := live(t, s.Pack("stuck"))
	if err := syscall.Kill(i.PID(), syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	if err := s.Stop(context.Background()); err != nil {
		t.Error(err)
	}
	if took := time.Since(began); took > 3*time.Second {
		t.Errorf("stopped after %v", took)
	}
	if alive(i.PID()) {
		t.Error("the stopped process lives on")
	}
}

func TestEndOfTheStopsContextKillsAtOnce(t *testing.T) {
	s := supervise(t, Options{StopGrace: time.Hour, Probe: Probe{Timeout: time.Hour}}, self(t, "stuck", "serves"))
	i := live(t, s.Pack("stuck"))
	if err := syscall.Kill(i.PID(), syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer cancel()
	if err := s.Stop(ctx); err != nil || alive(i.PID()) {
		t.Errorf("error %v, alive %v", err, alive(i.PID()))
	}
	if _, err := s.Pack("stuck").Instance(); !errors.Is(err, errStopped) {
		t.Errorf("after the stop: %v", err)
	}
}

func TestStopLetsAPackEndByItself(t *testing.T) {
	s := supervise(t, Options{StopGrace: 20 * time.Second}, self(t, "polite", "serves"))
	i := live(t, s.Pack("polite"))
	if err := s.Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	if got := i.child.exitErr.Error(); got != "it ended by itself" {
		t.Errorf("%s", got)
	}
}

func TestPipelineCanRecycleAnInstance(t *testing.T) {
	s := supervise(t, patient(), self(t, "odd", "serves"))
	p := s.Pack("odd")
	i := live(t, p)
	changed := p.Changed()
	garbage := errors.New("it answered batch 7, which nobody asked")
	p.Recycle(garbage)
	awaitClosed(t, i.Done(), time.Second, "not done at once")
	if !errors.Is(i.Err(), garbage) {
		t.Errorf("reason %v", i.Err())
	}
	if got, err := p.Instance(); err == nil && got == i {
		t.Error("an instance that is done is still given out")
	}
	awaitClosed(t, changed, 5*time.Second, "nobody was told")
	next := liveAfter(t, p, i)
	// An old instance's second death does not touch the new one.
	i.Recycle(garbage)
	if mustTell(t, next, "hello") != "hello" {
		t.Error("the next instance does not answer")
	}
}

func TestStatusFollowsWhatThePackSaysOfItsHealth(t *testing.T) {
	o := patient()
	o.Probe.Patience = 2 * time.Second
	s := supervise(t, o, self(t, "sick", "serves"))
	p := s.Pack("sick")
	i := live(t, p)
	changed := p.Changed()
	mustTell(t, i, "fall-sick")
	eventually(t, 3*time.Second, "the status does not show it", func() bool { return !p.Status().Serving })
	awaitClosed(t, changed, time.Second, "nobody was told")
	if _, err := p.Instance(); err == nil || !strings.HasPrefix(err.Error(), `the pack "sick" does not serve: it `) {
		t.Errorf("while it does not serve: %v", err)
	}
	next := liveAfter(t, p, i)
	if next == i || !strings.Contains(i.Err().Error(), "it said for 2s that it does not serve") {
		t.Errorf("reason %v", i.Err())
	}
}

func TestPackWithoutHealthServiceIsTakenAtItsAnswer(t *testing.T) {
	s := supervise(t, Options{Probe: Probe{Period: time.Millisecond}}, self(t, "plain", "knows no health"))
	i := live(t, s.Pack("plain"))
	time.Sleep(100 * time.Millisecond) // Time for many probes.
	if err := i.Err(); err != nil || !s.Ready() {
		t.Errorf("error %v, ready %v", err, s.Ready())
	}
}

// A pipe holds 64 KiB (pipe(7)). Whoever does not read more stops the pack.
func TestPrintedFloodHoldsNobodyUp(t *testing.T) {
	var log logBuffer
	s := supervise(t, Options{Logger: log.logger()}, self(t, "loud", "serves"))
	i := live(t, s.Pack("loud"))
	for _, order := range []string{"flood", "print", "flood", "print"} {
		if got := mustTell(t, i, order); got != order {
			t.Errorf("answer %q, want %q", got, order)
		}
	}
	mustTell(t, i, "complain the last screw is short")
	eventually(t, 5*time.Second, "the log has nothing of it", func() bool {
		return strings.Contains(log.String(), "the last screw is short") && strings.Contains(log.String(), "pack=loud")
	})
	if n := len(log.String()); n > 64<<10 {
		t.Errorf("4 MiB without a line's end became %d bytes of log", n)
	}
	if i.Err() != nil {
		t.Errorf("the pack was ended: %v", i.Err())
	}
}

func TestMessagesAreBoundedBothWays(t *testing.T) {
	s := supervise(t, Options{}, self(t, "large", "serves"))
	i := live(t, s.Pack("large"))
	if got := mustTell(t, i, "half"); len(got) != plug.MaxAnswerBytes/2 {
		t.Errorf("half the limit came as %d bytes", len(got))
	}
	_, err := tell(i, "large")
	if status.Code(err) != codes.ResourceExhausted || !strings.Contains(err.Error(), strconv.Itoa(plug.MaxAnswerBytes)) {
		t.Errorf("an answer over the limit: %v", err)
	}
	_, err = tell(i, strings.Repeat("x", plug.MaxRequestBytes))
	if status.Code(err) != codes.ResourceExhausted || !strings.Contains(err.Error(), strconv.Itoa(plug.MaxRequestBytes)) {
		t.Errorf("a request over the limit: %v", err)
	}
	if mustTell(t, i, "hello") != "hello" {
		t.Error("the pack does not answer any more")
	}
}

func TestPackThatEndsAtOnceIsGivenUp(t *testing.T) {
	for _, c := range []struct {
		name, mode string
		spare      bool
	}{
		{"never serves", "ends early", false}, {"serves for a moment", "dies soon", false}, {"also as spare", "dies soon", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			var mu sync.Mutex
			exits := 0
			o := Options{Spare: c.spare, Restart: Restart{First: 10 * time.Millisecond, Stable: time.Hour}}
			o.Hooks.OnExit = func(string, error, time.Duration) { mu.Lock(); exits++; mu.Unlock() }
			s := supervise(t, o, self(t, "crashing", c.mode))
			p := s.Pack("crashing")
			eventually(t, 20*time.Second, "not given up", func() bool { return !p.Status().GivenUpUntil.IsZero() })
			eventually(t, 20*time.Second, "still has a process", func() bool { return p.Status().PID == 0 && len(children()) == 0 })
			got := p.Status()
			if wait := time.Until(got.GivenUpUntil); got.Serving || wait < 50*time.Second || wait > 5*time.Minute {
				t.Errorf("status %+v", got)
			}
			if _, err := p.Instance(); err == nil || !strings.Contains(err.Error(), "is given up until") {
				t.Errorf("error %v", err)
			}
			mu.Lock()
			defer mu.Unlock()
			if exits > 8 {
				t.Errorf("started %d times", exits)
			}
		})
	}
}

func TestSpareTakesOver(t *testing.T) {
	o := patient()
	o.Spare = true
	var mu sync.Mutex
	var events []string
	note := func(e string) { mu.Lock(); events = append(events, e); mu.Unlock() }
	o.Hooks = Hooks{
		OnStart:   func(p, v string, _ time.Duration, spare bool) { note(fmt.Sprint("start ", p, " ", v, " ", spare)) },
		OnExit:    func(p string, reason error, _ time.Duration) { note(fmt.Sprint("exit ", p, " ", reason != nil)) },
		OnRestart: func(p string, n int) { note(fmt.Sprint("restart ", p, " ", n)) },
	}
	s := supervise(t, o, self(t, "air", "serves"))
	p := s.Pack("air")
	for range 3 {
		eventually(t, 20*time.Second, "no spare", func() bool { return p.Status().Spare })
		before := len(children())
		i := live(t, p)
		_ = syscall.Kill(i.PID(), syscall.SIGKILL)
		next := liveAfter(t, p, i)
		if mustTell(t, next, "hello") != "hello" || before != 2 {
			t.Errorf("%d processes before the kill, want 2", before)
		}
	}
	eventually(t, 20*time.Second, "no spare", func() bool { return p.Status().Spare })
	mu.Lock()
	defer mu.Unlock()
	const want = "start air 1.2.3 false,start air 1.2.3 true," +
		"exit air true,restart air 1,start air 1.2.3 true," +
		"exit air true,restart air 2,start air 1.2.3 true," +
		"exit air true,restart air 3,start air 1.2.3 true"
	if got := strings.Join(events, ","); got != want {
		t.Errorf("events %s\nwant   %s", got, want)
	}
}

// A killed process takes a moment to go, longer with more memory. The end of the
// supervisor waits for those as well that were replaced long before.
func TestStopWaitsForWhatWasRecycled(t *testing.T) {
	o := patient()
	o.Spare = true
	for range rounds(10) {
		s := supervise(t, o, self(t, "large", "serves"))
		p := s.Pack("large")
		eventually(t, 20*time.Second, "no spare", func() bool { return p.Status().Spare })
		i := live(t, p)
		i.Recycle(errors.New("the test wants it"))
		liveAfter(t, p, i)
		if err := s.Stop(context.Background()); err != nil {
			t.Error(err)
		}
		if !i.isGone() {
			t.Fatal("the recycled process was not waited for")
		}
	}
}
