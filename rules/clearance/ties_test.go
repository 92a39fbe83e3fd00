package clearance

import (
	"context"
	"slices"
	"testing"

	"slipfit.example/rules/arrange"
)

// The gaps of one arrangement are the same whether those that it shares with another are
// measured anew or taken over.
func TestSharedGapsAreTakenOver(t *testing.T) {
	compared, differing := 0, 0
	for _, id := range demoBuilds(t) {
		build := demoBuild(t, id)
		chassis := chassisOf(build)
		if chassis == nil {
			continue
		}
		e := readEnclosure(chassis)
		for layout := range e.layouts {
			s := newScene(e, &e.layouts[layout], seatedOf(build), nil, usual)
			answer, err := arrange.Solve(context.Background(), s.build(), arrange.Question{Ranked: 12, Budget: searchBudget, Bare: true})
			if err != nil {
				t.Fatal(err)
			}
			var first pairs
			var one []gapOf
			for i := range answer.Ranked {
				if answer.Ranked[i].Tightest != nil {
					t.Fatalf("%s: a bare answer tells where the margin is", id)
				}
				shared, own := s.layOut(answer.Ranked[i].Choices), s.layOut(answer.Ranked[i].Choices)
				shared.measure(s, &first)
				own.measure(s, nil)
				if !slices.Equal(shared.gaps, own.gaps) {
					t.Fatalf("%s, arrangement %d: gaps that are taken over differ from those measured anew", id, i)
				}
				if i == 0 {
					one = own.gaps
				} else if compared++; !slices.Equal(one, own.gaps) {
					differing++
				}
			}
		}
	}
	if compared < 20 || differing < 10 {
		t.Fatalf("%d arrangements compared, %d of them with other gaps than the first: the sample is too small", compared, differing)
	}
}
