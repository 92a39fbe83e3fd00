package packs

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// spawnsWithin plays a pack that fails each time, after the time that life gives,
// and counts the starts in each window of a minute.
func mostSpawnsInAMinute(p *pacer, starts int, life func() (took, lived time.Duration)) int {
	now := time.Unix(0, 0)
	var at []time.Time
	for range starts {
		if wait := p.until(now); wait > 0 {
			now = now.Add(wait)
		}
		at = append(at, now)
		took, lived := life()
		now = now.Add(took)
		p.failed(now, lived)
	}
	most := 0
	for i := range at {
		n := 0
		for _, t := range at[i:] {
			if t.Sub(at[i]) < time.Minute {
				n++
			}
		}
		most = max(most, n)
	}
	return most
}

func TestPackThatFailsAtOnceIsStartedEightTimesAMinuteAtMost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := newPacer(Restart{})
		p.jitter = func() float64 { return rapid.Float64Range(0, 1).Draw(t, "jitter") }
		got := mostSpawnsInAMinute(p, 30, func() (time.Duration, time.Duration) {
			lived := time.Duration(rapid.Int64Range(0, int64(2*time.Second)-1).Draw(t, "lived"))
			return lived, lived
		})
		if got > 8 {
			t.Fatalf("%d starts in a minute", got)
		}
	})
}

func TestPackThatHasServedIsStartedAgainAtOnce(t *testing.T) {
	now := time.Unix(1000, 0)
	p := newPacer(Restart{})
	for range 100 {
		p.failed(now, time.Minute)
		if wait := p.until(now); wait > 0 {
			t.Fatalf("waits %v after a minute of service", wait)
		}
		now = now.Add(time.Minute)
	}
}

func TestPackIsGivenUpAndTriedAgain(t *testing.T) {
	now := time.Unix(1000, 0)
	p := newPacer(Restart{})
	for i := range 5 {
		p.failed(now, 0)
		if !p.givenUpUntil().IsZero() {
			t.Fatalf("given up after %d failures", i+1)
		}
	}
	p.failed(now, 0)
	until := p.givenUpUntil()
	if until.Before(now.Add(time.Minute)) || until.After(now.Add(2*time.Minute)) {
		t.Errorf("given up until %v, %v after the failure", until, until.Sub(now))
	}
	p.failed(now, time.Hour)
	if !p.givenUpUntil().IsZero() || p.until(now) > 0 {
		t.Error("still given up after an hour of service")
	}
}

func TestWaitsGrowAndStayBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := newPacer(Restart{})
		p.jitter = func() float64 { return 0 }
		now, last := time.Unix(0, 0), time.Duration(0)
		for range rapid.IntRange(1, 200).Draw(t, "failures") {
			p.failed(now, 0)
			wait := p.until(now)
			if wait < last || wait > p.rules.Longest {
				t.Fatalf("a wait of %v after one of %v", wait, last)
			}
			last = wait
		}
	})
}
