package pipeline

import (
	"context"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// A fact that is worked out only when wanted is worked out for a pack that wants it,
// and stays out of the answer; a pack that takes no part wants nothing.
func TestWhatPacksWantIsWanted(t *testing.T) {
	seen := make(chan []string, 1)
	a := newFake("a", nil, []string{"fact.a"})
	a.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		request := new(v1.CheckRequest)
		if err := proto.Unmarshal(r.Tasks[0].Check, request); err != nil {
			return nil, err
		}
		seen <- request.Wants
		return a.honest(r), nil
	}
	b := newFake("b", []string{"fact.a"}, nil)
	b.life.desc.Wants = []string{"fact.a", "fact.of-nobody"}
	p := startPipeline(t, Options{}, a, b)
	for name, c := range map[string]struct {
		request *v1.CheckRequest
		want    []string
		facts   int
	}{
		"plain":           {&v1.CheckRequest{}, []string{"fact.a"}, 0},
		"the asker's too": {&v1.CheckRequest{Wants: []string{"fact.a"}}, []string{"fact.a"}, 1},
		"without b":       {&v1.CheckRequest{Packs: []*v1.PackPin{{Name: proto.String("a")}}}, nil, 0},
	} {
		c.request.Build = &v1.Build{Id: proto.String("owl")}
		answer := ask(t, p, encodeCheck(t, c.request))
		if got := <-seen; !slices.Equal(got, c.want) || len(answer.Facts) != c.facts {
			t.Errorf("%s: the pack sees %q wanted, the answer has %d facts; want %q and %d", name, got, len(answer.Facts), c.want, c.facts)
		}
	}
}
