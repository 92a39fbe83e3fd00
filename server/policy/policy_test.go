package policy_test

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/policy"
)

func numbers(values policy.Values) map[string]float64 {
	out := map[string]float64{}
	for _, v := range values {
		out[v.GetParameter()] = v.GetValue()
	}
	return out
}

func TestReadGivesEveryValue(t *testing.T) {
	values, err := policy.Read("p.yaml", []byte("tolerance.length_mm: 1\npower.supply-load.reserve_share: 0.25 # a quarter\n"))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{"tolerance.length_mm": 1, "power.supply-load.reserve_share": 0.25}
	if got := numbers(values); !maps.Equal(got, want) {
		t.Errorf("read %v, want %v", got, want)
	}
	if empty, err := policy.Read("e.yaml", nil); err != nil || len(empty) != 0 {
		t.Errorf("an empty file gives %v, %v", empty, err)
	}
}

func TestReadNamesThePlaceOfWhatIsWrong(t *testing.T) {
	for text, want := range map[string]string{
		"- a: 1":                   "p.yaml:1:1: a policy is a parameter and a number on each line, such as 'tolerance.length_mm: 1'",
		"a.b: 1\nc.d: wide":        `p.yaml:2:6: c.d is set to a number, not to "wide"`,
		"a.b: 1\na.b: 2":           `p.yaml:2:1: "a.b" stands in line 1 already`,
		"a.b: .nan":                `p.yaml:1:6: a.b is set to a number, not to ".nan"`,
		"a.b: {c: 1}":              `p.yaml:1:6: a.b is set to a number, not to ""`,
		"a: [":                     "p.yaml is no YAML",
		strings.Repeat("x", 2<<20): "more than the 1048576 that a policy file may have",
	} {
		if _, err := policy.Read("p.yaml", []byte(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.20q: error %v, want %q", text, err, want)
		}
	}
}

func TestReadTenants(t *testing.T) {
	got, err := policy.ReadTenants("t.yaml", []byte("all:\n  a.b: 1\ntenants:\n  reed-bank: {a.b: 2}\n  fen: {}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if !maps.Equal(numbers(got.All), map[string]float64{"a.b": 1}) || !maps.Equal(numbers(got.Each["reed-bank"]), map[string]float64{"a.b": 2}) {
		t.Errorf("read %v and %v", got.All, got.Each)
	}
	if _, known := got.Each["fen"]; !known {
		t.Error("a tenant without a policy of its own is forgotten")
	}
	if _, err := policy.ReadTenants("t.yaml", []byte("tenant: {}")); err == nil || err.Error() != `t.yaml:1:1: a tenants file holds 'all' and 'tenants', not "tenant"` {
		t.Errorf("error %v", err)
	}
}

// The upper policy's values all hold, the lower's where the upper is silent, and
// nothing is set twice.
func TestOverIsUpperThenLower(t *testing.T) {
	draw := rapid.MapOf(rapid.SampledFrom([]string{"a.b", "c.d", "e.f", "g.h"}), rapid.Float64Range(0, 9))
	rapid.Check(t, func(t *rapid.T) {
		upper, lower := draw.Draw(t, "upper"), draw.Draw(t, "lower")
		want := maps.Clone(lower)
		maps.Copy(want, upper)
		got := values(upper).Over(values(lower))
		if len(got) != len(want) || !maps.Equal(numbers(got), want) {
			t.Fatalf("got %v, want %v", numbers(got), want)
		}
	})
}

func values(of map[string]float64) (out policy.Values) {
	for _, name := range slices.Sorted(maps.Keys(of)) {
		number := of[name]
		out = append(out, &v1.PolicyValue{Parameter: &name, Value: &number})
	}
	return out
}
