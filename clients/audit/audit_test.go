package audit

import (
	"context"
	"iter"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	v1 "slipfit.example/proto/slipfit/v1"
	auditrules "slipfit.example/rules/audit"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/power"
)

// rulesOf are the descriptions of a pack's rules.
func rulesOf(t testing.TB, packs ...*kit.Pack) (out []*v1.Rule) {
	t.Helper()
	for _, p := range packs {
		e, err := kit.NewEvaluator(p)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, e.Describe().Rules...)
	}
	return out
}

func auditor(t testing.TB) *Auditor {
	t.Helper()
	e, err := kit.NewEvaluator(auditrules.Pack())
	if err != nil {
		t.Fatal(err)
	}
	a, err := New(func(check []byte) ([]byte, error) {
		var out kit.Outcome
		err := e.Evaluate(check, nil, &out)
		return out.Findings, err
	}, rulesOf(t, clearance.Pack(), power.Pack()))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func part(t testing.TB, text string) *v1.Part {
	t.Helper()
	p := new(v1.Part)
	if err := protojson.Unmarshal([]byte(text), p); err != nil {
		t.Fatal(err)
	}
	return p
}

// run audits a stream and gives each result as "line VERDICT rules".
func run(t testing.TB, items iter.Seq[Item]) (out []string, summary *Summary) {
	t.Helper()
	summary, err := auditor(t).Run(context.Background(), items, DefaultReach, func(r *Result) error {
		line := number10(r.Place.Line) + " " + word(r.Worst())
		for _, m := range r.Remarks {
			line += " " + m.Rule
		}
		out = append(out, line)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out, summary
}

func TestAStreamIsAuditedInItsOrderAndBadLinesAreTold(t *testing.T) {
	var b strings.Builder
	var want []string
	for i := range 500 {
		switch {
		case i == 77:
			b.WriteString(`{"fan":{"size_mn":120}}` + "\n")
			want = append(want, "78 FAIL catalogue.unreadable")
		case i == 200:
			b.WriteString(`{"fan":{"size_mm":9000}}` + "\n")
			want = append(want, "201 FAIL catalogue.unreadable")
		case i == 300:
			b.WriteString(`{"fan":` + strings.Repeat(" ", 3<<20) + "\n")
			want = append(want, "301 FAIL catalogue.unreadable")
		case i%100 == 50:
			b.WriteString(`{"air_cooler":{"height_mm":15.8}}` + "\n")
			want = append(want, number10(int64(i+1))+" FAIL audit.usual-figures")
		default:
			b.WriteString(`{"fan":{"size_mm":120,"thickness_mm":25}}` + "\n")
			want = append(want, number10(int64(i+1))+" PASS")
		}
	}
	got, summary := run(t, Documents("parts.ndjson", strings.NewReader(b.String()), nil))
	if !slices.Equal(got, want) {
		for i := range want {
			if i >= len(got) || got[i] != want[i] {
				t.Fatalf("result %d is %q, want %q", i, got[i], want[i])
			}
		}
	}
	if summary.Entries != 500 || summary.Unreadable != 2 {
		t.Errorf("summary counts %d entries, %d unreadable", summary.Entries, summary.Unreadable)
	}
}

func TestDoublesAreFoundOverTheWholeStream(t *testing.T) {
	lines := []string{
		`{"id":"a","maker":"Nachtreiher","name":"Heron 120","fan":{"size_mm":120,"thickness_mm":25,"max_speed_rpm":1500,"max_flow_m3h":94,"max_pressure_pa":17}}`,
		`{"id":"b","maker":"Nachtreiher","name":"Heron 140","fan":{"size_mm":140,"thickness_mm":25,"max_speed_rpm":1200,"max_flow_m3h":120,"max_pressure_pa":14}}`,
		`{"id":"c","maker":"NACHTREIHER ","name":"heron-120","fan":{"size_mm":120,"thickness_mm":25,"max_speed_rpm":1600,"max_flow_m3h":94,"max_pressure_pa":17}}`,
		`{"id":"d","maker":"Moorklang","name":"Dommel","fan":{"size_mm":140,"thickness_mm":25,"max_speed_rpm":1200,"max_flow_m3h":120,"max_pressure_pa":14}}`,
		`{"id":"a","maker":"Moorklang","name":"Dommel 2","fan":{"size_mm":92}}`,
		`{"id":"e","maker":"Moorklang","name":"Dommel 2","fan":{"size_mm":92}}`,
	}
	got, _ := run(t, Documents("parts.ndjson", strings.NewReader(strings.Join(lines, "\n")), nil))
	want := []string{
		"1 PASS", "2 PASS", "3 FAIL catalogue.same-name", "4 MARGINAL catalogue.same-figures", "5 FAIL catalogue.same-id", "6 MARGINAL catalogue.same-name",
	}
	if !slices.Equal(got, want) {
		t.Errorf("results\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestDoublesTellWhichFiguresDiffer(t *testing.T) {
	d := newTwins(100)
	first := part(t, `{"name":"Heron 120","fan":{"size_mm":120,"max_speed_rpm":1500,"max_flow_m3h":94}}`)
	second := part(t, `{"name":"Heron 120","fan":{"size_mm":120,"max_speed_rpm":1600,"max_flow_m3h":90}}`)
	if got := d.look(Place{File: "shop.ndjson", Line: 3, Number: 3}, first); got != nil {
		t.Errorf("the first is said to be a double: %v", got)
	}
	got := d.look(Place{File: "shop.ndjson", Line: 9, Number: 9}, second)
	want := "Maker and name are those of shop.ndjson:3 already, but these figures differ: fan.max_speed_rpm, fan.max_flow_m3h. One of the two is wrong."
	if len(got) != 1 || got[0].Text != want {
		t.Errorf("remarks %v, want %q", got, want)
	}
}

func TestMemoryOfDoublesIsBounded(t *testing.T) {
	d := newTwins(100)
	for i := range int64(10_000) {
		p := part(t, `{"id":"x`+number10(i)+`","name":"n`+number10(i)+`","fan":{"size_mm":120}}`)
		d.look(Place{File: "f", Number: i}, p)
	}
	if held := len(d.now.ids) + len(d.old.ids); held > 400 || !d.forgot {
		t.Errorf("%d ids are held, and forgetting is told: %v", held, d.forgot)
	}
	if got := d.look(Place{File: "f", Number: 10_001}, part(t, `{"id":"x9999","fan":{"size_mm":120}}`)); len(got) != 1 {
		t.Errorf("a double next to it is not seen: %v", got)
	}
}

func TestCompletenessNamesFieldsAndTheRulesThatWantThem(t *testing.T) {
	whole, err := auditor(t).Entry(part(t, `{"air_cooler":{"height_mm":158,"memory_clearance_mm":40,"over_memory":true}}`))
	if err != nil {
		t.Fatal(err)
	}
	bare, err := auditor(t).Entry(part(t, `{"air_cooler":{"width_mm":120}}`))
	if err != nil {
		t.Fatal(err)
	}
	clearanceOf := func(r Result) Score {
		i := slices.IndexFunc(r.Scores, func(s Score) bool { return s.Pack == "clearance" })
		if i < 0 {
			t.Fatalf("no score for clearance in %v", r.Scores)
		}
		return r.Scores[i]
	}
	full, empty := clearanceOf(whole), clearanceOf(bare)
	if full.Rules != empty.Rules || full.Answered <= empty.Answered {
		t.Errorf("%d of %d for the fuller entry, %d of %d for the barer", full.Answered, full.Rules, empty.Answered, empty.Rules)
	}
	i := slices.IndexFunc(empty.Missing, func(m Missing) bool { return m.Field == "air_cooler.height_mm" })
	if i < 0 || !slices.Contains(empty.Missing[i].Rules, "clearance.cooler-height") {
		t.Errorf("the barer entry misses %v", empty.Missing)
	}
}

// What the pack itself answers is the measure: an entry that is complete for a rule
// by its description is not the reason for an UNKNOWN of that rule.
func TestCompletenessAgreesWithWhatTheRuleAnswers(t *testing.T) {
	e, err := kit.NewEvaluator(clearance.Pack())
	if err != nil {
		t.Fatal(err)
	}
	chassis := `{"id":"case","part":{"chassis":{"limits":{"card_length_mm":330,"card_height_mm":145,"card_thickness_mm":81,"card_slots":4}}}}`
	for card, open := range map[string]bool{
		`{"card":{"length_mm":267,"height_mm":120,"thickness_mm":40,"slots":2}}`: false,
		`{"card":{"height_mm":120,"thickness_mm":40,"slots":2}}`:                 true,
	} {
		build := new(v1.Build)
		if err := protojson.Unmarshal([]byte(`{"items":[`+chassis+`,{"id":"card","part":`+card+`}]}`), build); err != nil {
			t.Fatal(err)
		}
		check, err := (&v1.CheckRequest{Build: build}).MarshalVT()
		if err != nil {
			t.Fatal(err)
		}
		var out kit.Outcome
		if err := e.Evaluate(check, nil, &out); err != nil {
			t.Fatal(err)
		}
		answer := new(v1.CheckResponse)
		if err := answer.UnmarshalVT(out.Findings); err != nil {
			t.Fatal(err)
		}
		unknown := false
		for _, f := range answer.Findings {
			unknown = unknown || f.GetRule() == "clearance.card-length" && f.GetVerdict() == v1.Verdict_VERDICT_UNKNOWN
		}
		r, err := auditor(t).Entry(part(t, card))
		if err != nil {
			t.Fatal(err)
		}
		missing := false
		for _, s := range r.Scores {
			for _, m := range s.Missing {
				missing = missing || slices.Contains(m.Rules, "clearance.card-length")
			}
		}
		if unknown != open || missing != open {
			t.Errorf("%s: the rule says unknown %v, completeness says open %v; want %v", card, unknown, missing, open)
		}
	}
}
