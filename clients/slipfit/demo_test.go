package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	v1 "slipfit.example/proto/slipfit/v1"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Every build of the demo, through the whole program: what does not pass, one line
// each. A change of a rule, a part or a build shows here as a line.
func TestDemoBuildsComeToTheirVerdicts(t *testing.T) {
	files, err := filepath.Glob(builds + "*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no builds: %v", err)
	}
	var b strings.Builder
	for _, file := range files {
		_, out, errOut := slipfit(t, "", "check", "--format", "json", file)
		answer := new(v1.CheckResponse)
		if err := protojson.Unmarshal([]byte(out), answer); err != nil {
			t.Fatalf("%s: %v %s", file, err, errOut)
		}
		fmt.Fprintf(&b, "%s: %s\n", filepath.Base(file), word(answer.GetVerdict()))
		for _, f := range answer.Findings {
			if f.GetVerdict() != v1.Verdict_VERDICT_PASS {
				fmt.Fprintf(&b, "  %-8s %s %s\n", word(f.GetVerdict()), f.GetRule(), strings.Join(f.Subjects, ","))
			}
		}
	}
	const golden = "testdata/demo.txt"
	if *update {
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("the demo comes to\n%s\nwant\n%s", b.String(), want)
	}
}

func word(v v1.Verdict) string { return strings.TrimPrefix(v.String(), "VERDICT_") }
