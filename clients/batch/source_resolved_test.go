package batch

import (
	"fmt"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
)

func TestLinesThatNameFilesStandForThemselves(t *testing.T) {
	id := "owl"
	resolve := func(from, ref string) (*v1.Part, error) {
		if ref != "parts.yaml#owl" || from != "in.ndjson" {
			return nil, fmt.Errorf("%s names no part", ref)
		}
		return &v1.Part{Id: &id}, nil
	}
	text := `{"id":"a","items":[{"id":"x","part":{"id":"whole"}}]}
{"id":"b","items":[{"id":"x", "part" : "parts.yaml#owl"}]}
{"id":"c","items":[{"id":"x","part":"none.yaml#owl"}]}
{"id":"d","items":[{"id":"x","part":{"name":"its \"part\": \"is\" said"}}]}
{"bad
`
	lines, err := NewLineSource("in.ndjson", strings.NewReader(text), 0, &Job{File: "in.ndjson"})
	if err != nil {
		t.Fatal(err)
	}
	c, _ := NewResolved(lines, resolve).Next()
	if len(c.Lines) != 5 {
		t.Fatalf("%d lines", len(c.Lines))
	}
	plain := newQuestions(nil)
	for i, want := range []string{"whole", "owl", "", "", ""} {
		check, refusal := plain.question(c, i)
		switch i {
		case 2:
			if refusal == nil || !strings.Contains(fmt.Sprint(refusal), "none.yaml#owl names no part") {
				t.Errorf("line 3 is not refused with its reason: %v", refusal)
			}
		case 4:
			if refusal == nil {
				t.Error("a bad line is taken")
			}
		default:
			r := new(v1.CheckRequest)
			if refusal != nil || r.UnmarshalVT(check) != nil || r.Build.Items[0].Part.GetId() != want {
				t.Errorf("line %d asks for %v (%v), want the part %q", i+1, r, refusal, want)
			}
		}
	}
}
