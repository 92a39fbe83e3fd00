//go:build linux

package parcelpy_test

import (
	"context"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/parcel"
	"slipfit.example/server/packs"
)

// ask has the pack answer one check.
func ask(t testing.TB, i *packs.Instance, request *v1.CheckRequest, facts []*packv1.Fact) *packv1.Outcome {
	t.Helper()
	check, err := proto.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	stream, err := i.Client().Evaluate(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.Send(&packv1.EvaluateRequest{Batch: proto.Uint64(1), Tasks: []*packv1.Task{{Check: check, Facts: facts}}}); err != nil {
		t.Fatal(err)
	}
	answer, err := stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	return answer.Outcomes[0]
}

// Over whatever builds, policies and facts, the two packs give the same findings:
// verdicts, numbers to the last bit, texts, what went in and what is missing.
func TestTwinsAgree(t *testing.T) {
	file, digest := build(t)
	instance := supervise(t, packs.Options{}, file, digest)
	evaluator, err := kit.NewEvaluator(parcel.Pack())
	if err != nil {
		t.Fatal(err)
	}
	verdicts := map[v1.Verdict]int{}
	rapid.Check(t, func(r *rapid.T) {
		request, facts := drawRequest(r), drawFacts(r)
		if rapid.Bool().Draw(r, "limit at the size") {
			limitAtTheSize(request, read(r, ask(t, instance, request, facts).Findings))
		}
		inPython := ask(t, instance, request, facts)
		if inPython.Error != nil {
			r.Fatalf("in Python it cannot be judged: %s", inPython.GetError())
		}
		check, err := proto.Marshal(request)
		if err != nil {
			r.Fatal(err)
		}
		var out kit.Outcome
		var given []kit.Fact
		for _, f := range facts {
			given = append(given, kit.Fact{Name: f.GetName(), Value: f.GetValue()})
		}
		if err := evaluator.Evaluate(check, given, &out); err != nil {
			r.Fatal(err)
		}
		findings, want := read(r, inPython.Findings), read(r, out.Findings)
		if !proto.Equal(findings, want) || inPython.GetVerdict() != out.Verdict {
			r.Fatalf("in Python %v: %v\nin Go     %v: %v", inPython.GetVerdict(), findings, out.Verdict, want)
		}
		for n, count := range inPython.Counts {
			if count != out.Counts[n] {
				r.Fatalf("counts are %v in Python and %v in Go", inPython.Counts, out.Counts)
			}
		}
		for _, f := range findings.Findings {
			verdicts[f.GetVerdict()]++
		}
	})
	for v := v1.Verdict_VERDICT_PASS; v <= v1.Verdict_VERDICT_FAIL; v++ {
		if verdicts[v] == 0 {
			t.Errorf("no drawn build comes to %v; draw others", v)
		}
	}
}

func read(r *rapid.T, findings []byte) *v1.CheckResponse {
	out := new(v1.CheckResponse)
	if err := proto.Unmarshal(findings, out); err != nil {
		r.Fatal(err)
	}
	return out
}

// drawRequest draws builds with none to two enclosures, whose sides may be missing and
// may have tolerances of their own, and policies.
func drawRequest(r *rapid.T) *v1.CheckRequest {
	build := &v1.Build{Id: proto.String("owl")}
	for range rapid.IntRange(0, 2).Draw(r, "enclosures") {
		build.Items = append(build.Items,
			&v1.Item{Id: proto.String("fan"), Part: &v1.Part{Kind: &v1.Part_Fan{Fan: &v1.Fan{SizeMm: proto.Uint32(120)}}}},
			&v1.Item{Id: proto.String(rapid.SampledFrom([]string{"case", "Käuzchen"}).Draw(r, "id")), Part: drawEnclosure(r)})
	}
	request := &v1.CheckRequest{Build: build}
	for name, most := range map[string]float64{"parcel.girth.limit_mm": 4000, "parcel.girth.padding_mm": 200, "tolerance.length_mm": 5, "parcel.mass.limit_kg": 30, "parcel.mass.packing_kg": 3} {
		if rapid.Bool().Draw(r, "sets "+name) {
			request.Policy = append(request.Policy, &v1.PolicyValue{Parameter: proto.String(name), Value: proto.Float64(drawNumber(r, name, most))})
		}
	}
	return request
}

// limitAtTheSize sets the limit where the enclosure lies right on it, so that the
// verdict turns on the tolerance and on the last bit.
func limitAtTheSize(request *v1.CheckRequest, found *v1.CheckResponse) {
	for _, f := range found.Findings {
		if f.GetRule() == "parcel.girth" && f.Measured != nil {
			limit := &v1.PolicyValue{Parameter: proto.String("parcel.girth.limit_mm"), Value: f.Measured.Nominal}
			request.Policy = append([]*v1.PolicyValue{limit}, request.Policy...)
		}
	}
}

func drawEnclosure(r *rapid.T) *v1.Part {
	chassis := new(v1.Chassis)
	for name, side := range map[string]**float64{"width": &chassis.WidthMm, "height": &chassis.HeightMm, "depth": &chassis.DepthMm} {
		if rapid.IntRange(0, 9).Draw(r, "states "+name) > 0 {
			*side = proto.Float64(drawNumber(r, name, 900))
		}
	}
	part := &v1.Part{Kind: &v1.Part_Chassis{Chassis: chassis}}
	for range rapid.IntRange(0, 2).Draw(r, "figures") {
		figure := &v1.Figure{Fields: []string{rapid.SampledFrom([]string{"chassis.width_mm", "chassis.depth_mm", "mass_g"}).Draw(r, "field")}}
		if rapid.Bool().Draw(r, "states minus") {
			figure.Minus = proto.Float64(drawNumber(r, "minus", 20))
		}
		if rapid.Bool().Draw(r, "states plus") {
			figure.Plus = proto.Float64(drawNumber(r, "plus", 20))
		}
		part.Figures = append(part.Figures, figure)
	}
	return part
}

// drawNumber draws round numbers, halves, which tell ways of rounding apart, and any.
func drawNumber(r *rapid.T, name string, most float64) float64 {
	switch rapid.IntRange(0, 2).Draw(r, "kind of "+name) {
	case 0:
		return float64(rapid.IntRange(1, int(most)).Draw(r, name))
	case 1:
		return float64(rapid.IntRange(1, int(most)).Draw(r, name)) + 0.25
	default:
		return rapid.Float64Range(0.001, most).Draw(r, name)
	}
}

func drawFacts(r *rapid.T) []*packv1.Fact {
	fact := &v1.Fact{Name: proto.String("mounting.assembly"), Content: &v1.Fact_Assembly{Assembly: &v1.Assembly{}}}
	switch rapid.IntRange(0, 4).Draw(r, "fact") {
	case 0:
		return nil
	case 1:
	default:
		fact.GetAssembly().MassG = proto.Float64(drawNumber(r, "mass", 30000))
	}
	value, err := proto.Marshal(fact)
	if err != nil {
		r.Fatal(err)
	}
	return []*packv1.Fact{{Name: fact.Name, Value: value}}
}
