package packs

import (
	"math/rand/v2"
	"time"
)

// Restart says when a failed pack is started again.
type Restart struct {
	// Stable is how long a process must have served for its end to count as the first
	// in a row. Default 2 s.
	Stable time.Duration
	// First is the wait after the second failure in a row, and after the first if the
	// process never served; it doubles with each further failure. Default 500 ms.
	First time.Duration
	// GiveUpAfter is the number of failures in a row after which the pack is given up
	// for a while. Default 6.
	GiveUpAfter int
	// GiveUpFor is that while; it doubles with each further failure. Default 1 min.
	GiveUpFor time.Duration
	// Longest bounds every wait. Default 10 min.
	Longest time.Duration
}

func (r Restart) withDefaults() Restart {
	orDefault(&r.Stable, 2*time.Second)
	orDefault(&r.First, 500*time.Millisecond)
	if r.GiveUpAfter <= 0 {
		r.GiveUpAfter = 6
	}
	orDefault(&r.GiveUpFor, time.Minute)
	orDefault(&r.Longest, 10*time.Minute)
	return r
}

// jitter is the share by which a wait is made longer at most, so that packs that
// failed together do not start together.
const jitter = 0.2

// pacer decides when a pack may be started next. It is a pure function of what it
// was told, apart from the jitter.
type pacer struct {
	rules    Restart
	jitter   func() float64 // 0 to 1
	failures int            // in a row
	next     time.Time      // zero: at once
	givenUp  bool
}

func newPacer(r Restart) *pacer {
	return &pacer{rules: r.withDefaults(), jitter: rand.Float64}
}

// failed notes the end of a process. lived is how long it could have served, zero if
// it never could.
func (p *pacer) failed(now time.Time, lived time.Duration) {
	if lived >= p.rules.Stable {
		p.failures = 0
	}
	p.failures++
	p.givenUp = p.failures >= p.rules.GiveUpAfter
	wait := p.wait(lived > 0)
	wait += time.Duration(jitter * p.jitter() * float64(wait))
	p.next = now.Add(wait)
}

// wait is the time until the next start without jitter.
func (p *pacer) wait(served bool) time.Duration {
	if p.givenUp {
		return doubled(p.rules.GiveUpFor, p.failures-p.rules.GiveUpAfter, p.rules.Longest)
	}
	if served && p.failures == 1 {
		return 0
	}
	steps := p.failures - 1
	if served {
		steps--
	}
	return doubled(p.rules.First, max(steps, 0), p.rules.Longest)
}

func doubled(d time.Duration, times int, longest time.Duration) time.Duration {
	for range times {
		if d >= longest {
			break
		}
		d *= 2
	}
	return min(d, longest)
}

// until is how long to wait before the next start, zero or less for not at all.
func (p *pacer) until(now time.Time) time.Duration {
	if p.next.IsZero() {
		return 0
	}
	return p.next.Sub(now)
}

// givenUpUntil is when a pack that was given up is tried again, else zero.
func (p *pacer) givenUpUntil() time.Time {
	if !p.givenUp {
		return time.Time{}
	}
	return p.next
}
