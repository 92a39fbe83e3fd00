package trial

import (
	"context"
	"fmt"
	"slices"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/encoding/protojson"

	v1 "slipfit.example/proto/slipfit/v1"
)

// exampleQuestions is how many smaller documents one reduction may try.
const exampleQuestions = 4000

// NewExample reduces a build to what one flip needs. A document that the service
// refuses does not keep the flip.
func NewExample(ctx context.Context, client v1.TrialServiceClient, plan *v1.TrialPlan, way Direction, tag string, build *v1.Build) (Example, error) {
	keeps := func(b *v1.Build) (bool, error) { return flips(ctx, client, plan, way, b) }
	least, minimal, err := Reduce(build, keeps, exampleQuestions)
	if err != nil {
		return Example{}, fmt.Errorf("%s could not be reduced: %w", tag, err)
	}
	text, err := yamlOf(least)
	if err != nil {
		return Example{}, fmt.Errorf("%s could not be written down: %w", tag, err)
	}
	return Example{Direction: way, Tag: tag, Document: text, Minimal: minimal}, nil
}

// flips asks whether a build flips in one direction.
func flips(ctx context.Context, client v1.TrialServiceClient, plan *v1.TrialPlan, way Direction, build *v1.Build) (yes bool, err error) {
	one := slices.Values([]*v1.TrialBuild{{Build: build}})
	_, err = Run(ctx, client, plan, one, func(d *v1.BuildDifference) error {
		yes = slices.ContainsFunc(d.Flips, func(f *v1.Flip) bool { return DirectionOf(f) == way })
		return nil
	})
	return yes, err
}

// yamlOf writes a build as people do.
func yamlOf(build *v1.Build) (string, error) {
	encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(build)
	if err != nil {
		return "", err
	}
	var node yaml.Node
	if err := yaml.Unmarshal(encoded, &node); err != nil {
		return "", err
	}
	plain(&node)
	text, err := yaml.Marshal(&node)
	return string(text), err
}

// plain takes the braces and quotes of JSON out of a tree.
func plain(n *yaml.Node) {
	n.Style = 0
	for _, c := range n.Content {
		plain(c)
	}
}
