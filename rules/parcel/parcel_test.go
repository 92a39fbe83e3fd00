package parcel

import (
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

func TestCatalogue(t *testing.T) {
	if _, err := kit.NewEvaluator(Pack()); err != nil {
		t.Error(err)
	}
}

const cube = "id: owl\nitems: [{id: case, part: {name: Case, chassis: {width_mm: 300, height_mm: 400, depth_mm: 500}}}]"

func TestGirth(t *testing.T) {
	kittest.Table(t, Pack(), "parcel.girth", []kittest.Row{
		// 600 and twice 400 and 500, by hand; half a millimetre each of three sides.
		{Name: "with packing", Build: cube, Want: []string{"PASS case margin 600 mm"}},
		{Name: "without packing", Build: cube, Policy: map[string]float64{"parcel.girth.padding_mm": 0}, Want: []string{"PASS case margin 1100 mm"}},
		{Name: "to the millimetre", Build: cube, Policy: map[string]float64{"parcel.girth.limit_mm": 2400}, Want: []string{"MARGINAL case margin 0 mm"}},
		{Name: "just over", Build: cube, Policy: map[string]float64{"parcel.girth.limit_mm": 2399}, Want: []string{"FAIL case margin -1 mm"}},
		{
			Name: "a side that nobody stated", Build: "id: owl\nitems: [{id: case, part: {name: Case, chassis: {width_mm: 300, depth_mm: 500}}}]",
			Want: []string{"UNKNOWN case missing items[0].part.chassis.height_mm"},
		},
		{Name: "no enclosure", Build: "id: owl\nitems: [{id: fan, part: {name: Fan, fan: {size_mm: 120}}}]"},
	})
}

func TestMass(t *testing.T) {
	weighs := func(assembly *v1.Assembly) []*v1.Fact {
		return []*v1.Fact{{Name: proto.String(factAssembly), Content: &v1.Fact_Assembly{Assembly: assembly}}}
	}
	kittest.Table(t, Pack(), "parcel.mass", []kittest.Row{
		{Name: "light", Build: cube, Facts: weighs(&v1.Assembly{MassG: proto.Float64(9500)}), Want: []string{"PASS case margin 9 kg"}},
		{Name: "to the gram", Build: cube, Facts: weighs(&v1.Assembly{MassG: proto.Float64(18500)}), Want: []string{"PASS case margin 0 kg"}},
		{Name: "ten grams over", Build: cube, Facts: weighs(&v1.Assembly{MassG: proto.Float64(18510)}), Want: []string{"FAIL case margin -0.01 kg"}},
		{Name: "no fact", Build: cube, Want: []string{"UNKNOWN case missing mounting.assembly"}},
		{Name: "a fact that does not know", Build: cube, Facts: weighs(&v1.Assembly{}), Want: []string{"UNKNOWN case missing mounting.assembly"}},
	})
}
