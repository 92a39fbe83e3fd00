package server

import (
	"context"
	"errors"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/server/packs"
	"slipfit.example/server/pipeline"
)

// packSource shows a supervised pack to the pipeline.
type packSource struct {
	pack     *packs.Pack
	origin   string // folder it lies in; empty: built in
	unsigned bool
}

// packInstance shows one process of it.
type packInstance struct{ instance *packs.Instance }

func (s packSource) Name() string { return s.pack.Name() }

func (s packSource) Instance() (pipeline.Instance, bool, error) {
	instance, err := s.pack.Instance()
	if err != nil {
		givenUp := !s.pack.Status().GivenUpUntil.IsZero()
		return nil, givenUp, notServing(givenUp)
	}
	return packInstance{instance}, false, nil
}

// notServing is what askers are told of a pack that does not serve. What the pack
// said, and from which file it runs, is for the log and for the list of packs.
func notServing(givenUp bool) error {
	if givenUp {
		return errors.New("it has failed too often, and is tried again later")
	}
	return errors.New("it has failed, and is being started again")
}

func (s packSource) Changed() <-chan struct{} { return s.pack.Changed() }

func (s packSource) Recycle(instance pipeline.Instance, reason error) {
	instance.(packInstance).instance.Recycle(reason)
}

func (i packInstance) Open(ctx context.Context) (packv1.PackService_EvaluateClient, error) {
	return i.instance.Client().Evaluate(ctx)
}

func (i packInstance) Describe() *packv1.DescribeResponse { return i.instance.Describe() }

func (i packInstance) Done() <-chan struct{} { return i.instance.Done() }
