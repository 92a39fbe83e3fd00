// Package shortlist finds out which of many parts fit a build that lacks one, and
// which come first, without solving more than the answer takes.
//
// A candidate goes through the packs in steps, the cheap ones first. Each step gives
// the candidate's key in the list an upper bound: the smallest margin can only become
// smaller. The candidate with the best bound goes on first, so that most never get far
// once as many fit as were asked for. The list is the same as that of checking each
// candidate and sorting.
package shortlist

import (
	"context"
	"fmt"
	"slices"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/policy"
)

// PlanError says what is wrong with a plan.
type PlanError struct{ Violations []document.Violation }

// Error names the first violation.
func (e *PlanError) Error() string {
	if len(e.Violations) == 0 {
		return "the plan is refused"
	}
	return e.Violations[0].String()
}

// Place is one item of a build that candidates take the place of.
type Place struct {
	// Kind is that of the part that the build holds there, empty where it holds none.
	Kind string

	request *v1.CheckRequest // with an empty part there
	index   int
}

// Clear makes room for candidates in a build: the item is emptied, or added where the
// build does not hold it. Choices of the arrangement name places of the enclosure, and
// are left out where that is what is sought. The build is not changed.
func Clear(request *v1.CheckRequest, items ...string) (*v1.CheckRequest, []Place) {
	out := proto.CloneOf(request)
	if out.Build == nil {
		out.Build = new(v1.Build)
	}
	places := make([]Place, len(items))
	for i, id := range items {
		at := slices.IndexFunc(out.Build.Items, func(it *v1.Item) bool { return it.GetId() == id })
		if at < 0 {
			at = len(out.Build.Items)
			out.Build.Items = append(out.Build.Items, &v1.Item{Id: proto.String(id)})
		}
		places[i] = Place{Kind: KindOf(out.Build.Items[at].GetPart()), request: out, index: at}
		out.Build.Items[at].Part = new(v1.Part)
	}
	if !slices.ContainsFunc(out.Build.Items, func(it *v1.Item) bool { return it.Part.GetChassis() != nil }) {
		out.Build.Arrangement = nil
	}
	return out, places
}

// Vet tells what is wrong with the build around the candidates. Items that are empty
// stand for any part. Paths begin as the encoded request's.
func Vet(validator *document.Validator, cleared *v1.CheckRequest) []document.Violation {
	filled := proto.CloneOf(cleared)
	for _, it := range filled.Build.Items {
		if it.Part != nil && it.Part.Kind == nil && it.Part.Id == nil {
			it.Part = &v1.Part{Kind: &v1.Part_Accessory{Accessory: &v1.Accessory{Provides: []string{"place"}}}}
		}
	}
	encoded, err := proto.Marshal(filled)
	if err != nil {
		return []document.Violation{{Reason: "the plan cannot be encoded: " + err.Error()}}
	}
	return validator.Check(encoded)
}

// Open takes the build without its candidates through the packs. The caller closes the
// baseline. The error is a *pipeline.RefusedError or the context's.
func Open(ctx context.Context, p *pipeline.Pipeline, lower policy.Values, places ...Place) (*pipeline.Baseline, error) {
	if len(places) == 0 {
		return nil, fmt.Errorf("no item is sought")
	}
	return p.Baseline(ctx, lower, places[0].request)
}

// Slate opens the place for candidates. Answers are about it and about the others that
// are named.
func (p Place) Slate(b *pipeline.Baseline, others ...Place) (*pipeline.Slate, error) {
	about := []int{p.index}
	for _, other := range others {
		about = append(about, other.index)
	}
	return b.Slate(p.request, p.index, about)
}

// With is the place in the same build where another place holds a part.
func (p Place) With(other Place, part *v1.Part) Place {
	build := proto.CloneOf(p.request)
	build.Build.Items[other.index].Part = part
	p.request = build
	return p
}
