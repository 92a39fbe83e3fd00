package plug_test

import (
	"testing"

	"google.golang.org/protobuf/proto"

	"slipfit.example/proto/slipfit/pack/v1/plug"
	v1 "slipfit.example/proto/slipfit/v1"
)

func TestWhatStandsWithoutACandidate(t *testing.T) {
	unknown := func(subject string, missing ...string) *v1.Finding {
		return &v1.Finding{Rule: proto.String("a.b"), Subjects: []string{subject}, Verdict: v1.Verdict_VERDICT_UNKNOWN.Enum(), Missing: missing}
	}
	fail := func(margin float64) *v1.Finding {
		return &v1.Finding{Rule: proto.String("a.b"), Subjects: []string{"x"}, Verdict: v1.Verdict_VERDICT_FAIL.Enum(),
			Margin: &v1.Quantity{Nominal: &margin, Unit: proto.String("mm")}}
	}
	said := func(f *v1.Finding, key, text string) *v1.Finding {
		f.Summary = &v1.Message{Key: &key, Text: &text}
		return f
	}
	for name, c := range map[string]struct {
		with, without *v1.Finding
		want          bool
	}{
		"the same is missing":       {said(unknown("x", "p"), "k", "its way takes 2 mm"), said(unknown("x", "p"), "k", "its way takes 1 mm"), true},
		"something else is missing": {unknown("x", "p", "q"), unknown("x", "p"), false},
		"of another item":           {unknown("y", "p"), unknown("x", "p"), false},
		"nothing is missing":        {said(unknown("x"), "k", "one"), said(unknown("x"), "k", "two"), false},
		"word for word":             {said(unknown("x"), "k", "one"), said(unknown("x"), "k", "one"), true},
		"failed as much":            {fail(-2), fail(-2), true},
		"failed by less":            {fail(-1), fail(-2), true},
		"failed by more":            {fail(-3), fail(-2), false},
		"failed, was unknown":       {fail(-3), unknown("x", "p"), false},
		"rule broke":                {said(unknown("x", "p"), plug.BrokenRule, "it broke"), said(unknown("x", "p"), plug.BrokenRule, "it broke"), false},
	} {
		if got := plug.Stands(c.with, []*v1.Finding{c.without}); got != c.want {
			t.Errorf("%s: stands is %v, want %v", name, got, c.want)
		}
	}
	for missing, want := range map[[2]string]bool{
		{"items", "items"}: true, {"room.temperature_c", "use.displays"}: true, {"items", "items[11].part.fan.size_mm"}: true,
		{"items", "items[1].part.fan.size_mm"}: false, {"items[2].part.fan.size_mm", "policy.x"}: false,
	} {
		if got := plug.LeftOpen(unknown("x", missing[:]...), []string{"items[1]."}); got != want {
			t.Errorf("a finding that misses %v is left open %v, want %v", missing, got, want)
		}
	}
	if plug.LeftOpen(fail(-1), nil) {
		t.Error("a failure is left open")
	}
	if plug.Stands(fail(-1), nil) {
		t.Error("something stands where nothing is wrong without the candidate")
	}
}
