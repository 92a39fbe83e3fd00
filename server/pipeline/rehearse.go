package pipeline

import (
	"bytes"
	"context"
	"fmt"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

const (
	// sampleEvery is after how many batches a lane keeps another check to rehearse with.
	sampleEvery = 256
	// rehearsals is how often a fresh pack answers it: its caches fill and its memory
	// grows to what it will use.
	rehearsals = 4
)

// sent is a check of a batch that travels.
type sent struct {
	batch uint64
	task  *packv1.Task
}

// copySample copies a check now and then, as the pack gets it: its bytes belong to
// somebody else once it is answered.
func (l *lane) copySample(batch uint64, t *task) {
	if t.line != nil || l.sample.Load() != nil && batch%sampleEvery != 0 {
		return
	}
	kept := &packv1.Task{Check: bytes.Clone(t.check)}
	for _, f := range t.facts {
		kept.Facts = append(kept.Facts, &packv1.Fact{Name: ptr(f.GetName()), Value: bytes.Clone(f.GetValue())})
	}
	l.copied.Store(&sent{batch, kept})
}

// keepSample keeps the copy once its batch is answered: a check that kills packs is
// nothing to rehearse with.
func (l *lane) keepSample(batch uint64, answers []*packv1.Outcome) {
	if c := l.copied.Load(); c != nil && c.batch == batch && answers[0].Error == nil {
		l.sample.Store(c.task)
		l.copied.Store(nil)
	}
}

// Rehearse has a pack that does not serve yet answer a check that another version of
// it got lately, so that the first askers do not wait for what only first checks do. What
// it answers counts for nothing; that it does not answer at all is an error.
func (p *Pipeline) Rehearse(ctx context.Context, source Source) error {
	sample := p.sampleFor(source.Name())
	if sample == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, p.options.Timeout)
	defer cancel()
	instance, _, err := source.Instance()
	if err != nil {
		return fmt.Errorf("pack %s does not serve: %w", source.Name(), err)
	}
	stream, err := instance.Open(ctx)
	for i := uint64(1); err == nil && i <= rehearsals; i++ {
		if err = stream.Send(&packv1.EvaluateRequest{Batch: &i, Tasks: []*packv1.Task{sample}}); err == nil {
			_, err = stream.Recv()
		}
	}
	if err != nil {
		return fmt.Errorf("pack %s does not answer a check that another version of it has answered: %w", source.Name(), err)
	}
	return nil
}

func (p *Pipeline) sampleFor(pack string) *packv1.Task {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, l := range p.lanes {
		if sample := l.sample.Load(); sample != nil && l.source.Name() == pack {
			return sample
		}
	}
	return nil
}
