package kittest_test

import (
	"math"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

// Each thing that Sound is there to find is found, wherever it stands.
func TestSoundFindsWhatIsNot(t *testing.T) {
	wild := &v1.Quantity{High: proto.Float64(math.Inf(1))}
	for where, f := range map[string]*v1.Finding{
		"summary":  {Summary: &v1.Message{Text: proto.String("This rule broke: it divided by nothing.")}},
		"measured": {Measured: &v1.Quantity{Nominal: proto.Float64(math.NaN())}},
		"required": {Required: wild},
		"margin":   {Margin: &v1.Quantity{Low: proto.Float64(math.Inf(-1))}},
		"argument": {Summary: &v1.Message{Arguments: []*v1.Argument{{Value: wild}}}},
		"input":    {Inputs: []*v1.Input{{Value: wild}}},
		"remedy":   {Remedies: []*v1.Remedy{{Change: wild}}},
	} {
		if kittest.Sound(f) == nil {
			t.Errorf("nothing is said about the %s of %v", where, f)
		}
	}
	if err := kittest.Sound(&v1.Finding{Measured: &v1.Quantity{Nominal: proto.Float64(1)}, Remedies: []*v1.Remedy{{}}}); err != nil {
		t.Errorf("of a sound finding: %v", err)
	}
}
