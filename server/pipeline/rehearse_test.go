package pipeline

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// A fresh pack answers what the serving version has answered, with the facts that it
// had, before anybody is served by it.
func TestAFreshPackRehearses(t *testing.T) {
	p := startPipeline(t, Options{}, newFake("a", nil, []string{"fact.a"}), newFake("b", []string{"fact.a"}, nil))
	var rehearsed atomic.Int64
	fresh := version("b", "2.0.0")
	fresh.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		rehearsed.Add(1)
		request := new(v1.CheckRequest)
		task := r.Tasks[0]
		if err := proto.Unmarshal(task.Check, request); err != nil || request.Build.GetId() != "owl" || len(task.Facts) != 1 || task.Facts[0].GetName() != "fact.a" {
			t.Errorf("it rehearses with %v and %v, error %v", request, task.Facts, err)
		}
		return fresh.honest(r), nil
	}
	if err := p.Rehearse(t.Context(), fresh); err != nil || rehearsed.Load() != 0 {
		t.Errorf("before any check it rehearsed %d times, error %v", rehearsed.Load(), err)
	}
	ask(t, p, checkOf(t, "owl"))
	if err := p.Rehearse(t.Context(), fresh); err != nil || rehearsed.Load() != rehearsals {
		t.Errorf("it rehearsed %d times, error %v", rehearsed.Load(), err)
	}
	if len(p.Packs()) != 2 {
		t.Error("by rehearsing it came to serve")
	}
	broken := version("b", "3.0.0")
	broken.behave = func(context.Context, *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		return nil, errors.New("a screw is loose")
	}
	want := "pack b does not answer a check that another version of it has answered"
	if err := p.Rehearse(t.Context(), broken); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("error %v, want %s", err, want)
	}
}

// A check that its pack does not survive is nothing to rehearse with.
func TestWhatKillsAPackIsNotRehearsed(t *testing.T) {
	a := newFake("a", nil, nil)
	a.behave = func(context.Context, *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		return nil, errors.New("a screw is loose")
	}
	p := startPipeline(t, Options{}, a)
	ask(t, p, checkOf(t, "owl"))
	if sample := p.sampleFor("a"); sample != nil {
		t.Errorf("%v is kept", sample)
	}
}

// An exchange is whole or nothing: where one of several packs cannot serve, the others
// stay out, and those that were to leave stay in.
func TestExchangesAreWholeOrNothing(t *testing.T) {
	first := version("a", "1.0.0", "fact.x")
	p := startPipeline(t, Options{}, first)
	before := p.Ruleset()
	_, err := p.Exchange([]Source{first}, []Source{version("a", "2.0.0"), version("b", "1.0.0", "fact.y"), version("c", "1.0.0", "fact.y")})
	if err == nil || err.Error() != "packs b and c both provide the fact fact.y; withdraw one of them" {
		t.Errorf("error %v", err)
	}
	if after := p.Ruleset(); !proto.Equal(before, after) {
		t.Errorf("what serves changed from %v to %v", before, after)
	}
	wantLines(t, ask(t, p, checkOf(t, "owl")), "a PASS owl")
	left, err := p.Exchange([]Source{first}, []Source{version("a", "2.0.0"), version("b", "1.0.0")})
	if err != nil {
		t.Fatal(err)
	}
	if err := left(t.Context()); err != nil {
		t.Error(err)
	}
	var got []string
	for _, s := range p.Packs() {
		got = append(got, s.Description.GetName()+" "+s.Description.GetVersion())
	}
	if !slices.Equal(got, []string{"a 2.0.0", "b 1.0.0"}) {
		t.Errorf("%v serve", got)
	}
}
