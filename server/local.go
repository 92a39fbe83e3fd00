package server

import (
	"context"
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/pipeline"
)

// Local answers checks by packs that live in this process, without transport and
// without anything that keeps a pack apart: one that takes the process down takes
// it down. It is for processes that somebody watches, who has what they did not
// answer asked elsewhere. Its answers are those of a Server with the same packs.
type Local struct {
	validator *document.Validator
	pipeline  *pipeline.Pipeline
}

// StartLocal makes packs ready.
func StartLocal(packs []pipeline.Resident) (*Local, error) {
	validator, err := document.New()
	if err != nil {
		return nil, err
	}
	return (&Local{validator: validator}).Beside(packs)
}

// Beside makes other packs ready, or the same that tell another part of their
// findings.
func (l *Local) Beside(packs []pipeline.Resident) (*Local, error) {
	var sources []pipeline.Source
	for _, pack := range packs {
		source, err := pipeline.NewResident(pack)
		if err != nil {
			return nil, fmt.Errorf("a pack does not tell what it is: %w", err)
		}
		sources = append(sources, source)
	}
	p, err := pipeline.Start(sources, pipeline.Options{})
	if err != nil {
		return nil, err
	}
	return &Local{l.validator, p}, nil
}

// Check answers one encoded slipfit.v1.CheckRequest with an encoded
// slipfit.v1.CheckResponse, or with a refusal as CheckMany would. The error is the
// context's.
func (l *Local) Check(ctx context.Context, check []byte) (answer []byte, refusal *v1.Refusal, err error) {
	if violations := l.validator.Check(check); len(violations) > 0 {
		return nil, document.Refusal(violations), nil
	}
	answer, err = l.pipeline.Check(ctx, check)
	switch {
	case err == nil:
		return answer, nil, nil
	case ctx.Err() != nil:
		return nil, nil, context.Cause(ctx)
	}
	return nil, refusalOf(err), nil
}

// Packs are the packs that answer, in the order of their names.
func (l *Local) Packs() (out []*v1.PackVersion) {
	for _, p := range l.pipeline.Packs() {
		out = append(out, &v1.PackVersion{Name: ptr(p.Description.GetName()), Version: ptr(p.Description.GetVersion())})
	}
	return out
}

// Stop ends the pipeline.
func (l *Local) Stop() { l.pipeline.Stop() }
