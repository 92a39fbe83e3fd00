package trial

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// atOnce is how many builds of one trial are on their way together.
const atOnce = 64

// Judge takes an encoded, validated CheckRequest to its answer, encoded.
type Judge func(ctx context.Context, check []byte) ([]byte, error)

// Bench runs trials.
type Bench struct {
	// Judge answers one check.
	Judge Judge
	// Validate says what is wrong with an encoded check, nil where nothing is.
	Validate func(check []byte) *v1.Refusal
	// Refusal turns an error of Judge into a refusal of that one build, nil where
	// it ends the whole trial.
	Refusal func(err error) *v1.Refusal
	// Enter takes a place among the service's checks and returns what gives it
	// back. Nil: there are places enough.
	Enter func(ctx context.Context) (leave func(), err error)
}

// Run judges the builds that next returns, until it returns io.EOF, and tells each
// difference and at last the summary. Calls to tell do not overlap. Each build is
// taken through both sides one after the other, the first side in turn, so that
// neither has the warmer caches.
func (b *Bench) Run(ctx context.Context, plan *v1.TrialPlan, next func() (Build, error), tell func(*v1.RunTrialResponse) error) error {
	sides, err := encodeSides(plan)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	t := &trialRun{bench: b, sides: sides, tell: tell, fail: cancel}
	slots := make(chan struct{}, atOnce)
	var open sync.WaitGroup
	err = t.feed(ctx, next, slots, &open)
	open.Wait()
	if err == nil {
		err = context.Cause(ctx)
	}
	if err != nil {
		return err
	}
	return tell(&v1.RunTrialResponse{Content: &v1.RunTrialResponse_Summary{Summary: t.tally.Summary()}})
}

// encodeSides encodes everything of the two checks but the build.
func encodeSides(plan *v1.TrialPlan) (sides [2][]byte, err error) {
	for i, side := range []*v1.TrialRuleset{plan.GetBaseline(), plan.GetCandidate()} {
		check := &v1.CheckRequest{Policy: side.GetPolicy(), Packs: side.GetPacks(), HouseRules: houseOf(side)}
		if sides[i], err = proto.Marshal(check); err != nil {
			return sides, fmt.Errorf("a ruleset cannot be encoded: %w", err)
		}
	}
	return sides, nil
}

// trialRun is one trial on its way.
type trialRun struct {
	bench *Bench
	sides [2][]byte
	fail  context.CancelCauseFunc

	mu    sync.Mutex // of tell and tally
	tell  func(*v1.RunTrialResponse) error
	tally Tally
}

// feed starts a build whenever there is room for one.
func (t *trialRun) feed(ctx context.Context, next func() (Build, error), slots chan struct{}, open *sync.WaitGroup) error {
	for number := 0; ; number++ {
		build, err := next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			t.fail(err)
			return err
		}
		select {
		case slots <- struct{}{}:
		case <-ctx.Done():
			return context.Cause(ctx)
		}
		open.Go(func() {
			defer func() { <-slots }()
			if err := t.build(ctx, build, number%2); err != nil {
				t.fail(err)
			}
		})
	}
}

// build judges one build under both rulesets, the side numbered first before the
// other.
func (t *trialRun) build(ctx context.Context, build Build, first int) error {
	var answers [2][]byte
	var costs [2]time.Duration
	for _, i := range [2]int{first, 1 - first} {
		answer, cost, refusal, err := t.judge(ctx, build.check(t.sides[i]))
		if err != nil {
			return err
		}
		if refusal != nil {
			return t.refuse(build.Tag, refusal)
		}
		answers[i], costs[i] = answer, cost
	}
	baseline, candidate, err := ReadDiffering(answers[0], answers[1])
	if err != nil {
		return err
	}
	d := Compare(build.Tag, baseline, candidate)
	d.BuildBytes = ptr(uint32(len(build.Encoded)))
	t.mu.Lock()
	defer t.mu.Unlock()
	t.tally.Judged(d, baseline, candidate, costs)
	if !Differs(d) {
		return nil
	}
	return t.tell(&v1.RunTrialResponse{Content: &v1.RunTrialResponse_Difference{Difference: d}})
}

func (t *trialRun) judge(ctx context.Context, check []byte) ([]byte, time.Duration, *v1.Refusal, error) {
	if refusal := t.bench.Validate(check); refusal != nil {
		return nil, 0, refusal, nil
	}
	if t.bench.Enter != nil {
		leave, err := t.bench.Enter(ctx)
		if err != nil {
			return nil, 0, nil, err
		}
		defer leave()
	}
	start := time.Now()
	answer, err := t.bench.Judge(ctx, check)
	cost := time.Since(start)
	if err != nil {
		if refusal := t.bench.Refusal(err); refusal != nil {
			return nil, 0, refusal, nil
		}
		return nil, 0, nil, err
	}
	return answer, cost, nil, nil
}

func (t *trialRun) refuse(tag string, refusal *v1.Refusal) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.tally.Refused()
	return t.tell(&v1.RunTrialResponse{Content: &v1.RunTrialResponse_Difference{
		Difference: &v1.BuildDifference{Tag: &tag, Refusal: refusal},
	}})
}

// houseOf keeps absent and empty house rules apart.
func houseOf(side *v1.TrialRuleset) *string {
	if side == nil {
		return nil
	}
	return side.HouseRules
}
