package shadow

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/policy"
	"slipfit.example/server/trial"
)

// Config says who judges, and how much.
type Config struct {
	// Name is what the candidate is called.
	Name string
	// Share of the live checks that are picked, above 0 and at most 1. Each check is
	// picked by chance and for itself, so that counts stand for the traffic.
	Share float64
	// Judge answers an encoded, validated CheckRequest as the candidate would, over a
	// policy that lies under the request's. It must end with its context.
	Judge func(ctx context.Context, lower policy.Values, check []byte) (answer []byte, err error)
	// Busy reports that live checks need the machine. Nil: they never do.
	Busy func() bool
	// Evidence keeps builds and whole findings of examples. Without it, nothing of a
	// document is kept.
	Evidence bool
}

// Shadow counts. A nil *Shadow picks nothing.
type Shadow struct {
	config  Config
	waiting chan answered
	held    atomic.Int64 // bytes that wait
	picked  atomic.Uint64
	full    atomic.Uint64
	busy    atomic.Uint64
	since   time.Time

	mu    sync.Mutex
	state state
}

// New makes a shadow that picks from now on; Run has it judge.
func New(c Config) (*Shadow, error) {
	if !(c.Share > 0 && c.Share <= 1) {
		return nil, fmt.Errorf("the share of checks that a candidate judges lies above 0 and at most at 1, not at %v", c.Share)
	}
	if c.Busy == nil {
		c.Busy = func() bool { return false }
	}
	return &Shadow{config: c, waiting: make(chan answered, waitingChecks), since: time.Now()}, nil
}

// Pick is the decision about one live check. The zero value is a check that was not
// picked.
type Pick struct {
	shadow *Shadow
	began  time.Time
}

// Pick decides about a check that begins now.
func (s *Shadow) Pick() Pick {
	if s == nil || rand.Float64() >= s.config.Share {
		return Pick{}
	}
	return Pick{s, time.Now()}
}

// Picked reports whether the check's answer is wanted.
func (p Pick) Picked() bool { return p.shadow != nil }

// answered is one live check with its answer.
type answered struct {
	lower         policy.Values
	check, answer []byte
	took          time.Duration
}

func (a *answered) bytes() int64 { return int64(len(a.check) + len(a.answer)) }

// Answered hands a picked check over with its answer, both encoded, and the policy that
// lies under the request's with the candidate in it. Neither may be written to
// afterwards. It never waits: what there is no room for is dropped and counted.
func (p Pick) Answered(lower policy.Values, check, answer []byte) {
	if p.shadow == nil {
		return
	}
	p.shadow.take(answered{lower, check, answer, time.Since(p.began)})
}

func (s *Shadow) take(a answered) {
	s.picked.Add(1)
	if s.config.Busy() {
		s.busy.Add(1)
		return
	}
	if s.held.Add(a.bytes()) <= waitingBytes {
		select {
		case s.waiting <- a:
			return
		default:
		}
	}
	s.held.Add(-a.bytes())
	s.full.Add(1)
}

// Run judges what was picked, one check after the other, until the context ends.
func (s *Shadow) Run(ctx context.Context) {
	var rest time.Duration
	for {
		select {
		case <-ctx.Done():
			return
		case a := <-s.waiting:
			s.held.Add(-a.bytes())
			if s.judge(ctx, &a) {
				rest = 0
				continue
			}
			rest = min(max(2*rest, firstRest), longestRest)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(rest):
		}
	}
}

// judge asks the candidate about one check, and reports whether it answered at all.
func (s *Shadow) judge(ctx context.Context, a *answered) (well bool) {
	defer func() {
		if broken := recover(); broken != nil {
			s.silence(fmt.Sprintf("comparing broke: %v", broken))
			well = false
		}
	}()
	asked := openCheck(a.check)
	if asked.own {
		s.count(func(st *state) { st.own++ })
		return true
	}
	start := time.Now()
	answer, err := s.config.Judge(ctx, a.lower, a.check)
	took := time.Since(start)
	switch {
	case ctx.Err() != nil:
		return true // nobody counts any more
	case errors.Is(err, pipeline.ErrRefused):
		s.refuse(err)
		return true
	case err != nil:
		s.silence("the candidate could not judge: " + err.Error())
		return false
	}
	live, candidate, err := trial.ReadDiffering(a.answer, answer)
	if err != nil {
		s.silence(err.Error())
		return false
	}
	if words := silent(candidate.GetRuleset(), "candidate"); words != "" {
		s.silence(words)
		return false
	}
	if words := silent(live.GetRuleset(), "service"); words != "" {
		s.silence(words)
		return true
	}
	s.compare(a, asked.build, live, candidate, took)
	return true
}

// silent names the packs of one side that did not answer. What they would have said is
// not known, so that nothing of it flips.
func silent(rs *v1.Ruleset, side string) string {
	var names []string
	for _, p := range rs.GetPacks() {
		if !p.GetAnswered() {
			names = append(names, p.GetName())
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "of the " + side + "'s packs, " + strings.Join(names, ", ") + " did not answer"
}
