package mating

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// build is a build of some items.
func build(items ...string) string { return "items:\n- " + strings.Join(items, "\n- ") + "\n" }

// desk is the mixing desk with pieces of its text replaced. A piece that it does
// not have is a mistake in the test.
func desk(t testing.TB, pairs ...string) string {
	t.Helper()
	text := mixingDesk
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("the build has no %q", pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

// arrangement is the fact in short: the layout, and seats as "item mount".
func arrangement(layout string, seats ...string) *v1.Fact {
	out := &v1.Arrangement{Layout: &layout}
	for _, s := range seats {
		var item, mount string
		if _, err := fmt.Sscan(s, &item, &mount); err != nil {
			panic("seat " + s + ": " + err.Error())
		}
		out.Seats = append(out.Seats, &v1.Seat{Item: &item, Mount: &mount})
	}
	return &v1.Fact{Name: proto.String(factArrangement), Content: &v1.Fact_Arrangement{Arrangement: out}}
}

// readBuild reads a build from YAML, for property tests that have no testing.T.
func readBuild(text string, build *v1.Build) error {
	var tree any
	if err := yaml.Unmarshal([]byte(text), &tree); err != nil {
		return err
	}
	encoded, err := json.Marshal(tree)
	if err != nil {
		return err
	}
	return protojson.Unmarshal(encoded, build)
}
