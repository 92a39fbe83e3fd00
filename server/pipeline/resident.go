package pipeline

import (
	"context"
	"errors"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// Resident is a pack that lives in the host's own process.
type Resident interface {
	// Describe tells what the pack is.
	Describe(context.Context, *packv1.DescribeRequest) (*packv1.DescribeResponse, error)
	// Answer answers one batch at once. The answer is the host's to keep.
	Answer(*packv1.EvaluateRequest) *packv1.EvaluateResponse
}

// NewResident makes a resident pack a Source. Its checks are answered where they are
// submitted, without queue, time limit or second try: nothing keeps such a pack
// apart, and one that takes the process down, or never returns, does so. It is for
// processes that somebody watches.
//
// The error says why the pack does not tell what it is.
func NewResident(pack Resident) (Source, error) {
	d, err := pack.Describe(context.Background(), &packv1.DescribeRequest{Protocol: ptr(uint32(plug.Protocol))})
	if err != nil {
		return nil, err
	}
	return &resident{pack: pack, description: d, never: make(chan struct{})}, nil
}

// resident is both the source and its only instance.
type resident struct {
	pack        Resident
	description *packv1.DescribeResponse
	never       chan struct{}
}

func (r *resident) Name() string { return r.description.GetName() }

func (r *resident) Instance() (instance Instance, giveUp bool, err error) { return r, false, nil }

func (r *resident) Changed() <-chan struct{} { return r.never }

func (r *resident) Recycle(Instance, error) {}

func (r *resident) Describe() *packv1.DescribeResponse { return r.description }

func (r *resident) Done() <-chan struct{} { return r.never }

// Open is never called: a lane with a resident has no stream.
func (r *resident) Open(context.Context) (packv1.PackService_EvaluateClient, error) {
	return nil, errors.New("a resident pack has no stream")
}

// answer settles a task at once.
func (r *resident) answer(t *task) {
	response := r.pack.Answer(&packv1.EvaluateRequest{Line: t.line, Tasks: []*packv1.Task{{Check: t.check, Facts: t.facts, Part: t.part, MarginShare: t.share}}})
	if len(response.Outcomes) != 1 {
		t.fail(failureBroke, "it answered something else than was asked")
		return
	}
	// What is wrong with an answer is in the task's outcome.
	_ = t.take(response.Outcomes[0])
}
