package power

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"path"
	"strings"
	"sync"
	"testing"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/demo"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// catalogue are the demo's parts by "<file>#<id>", as trees.
var catalogue = sync.OnceValues(func() (map[string]any, error) {
	files, err := demo.FS.ReadDir("parts")
	if err != nil {
		return nil, err
	}
	parts := map[string]any{}
	for _, file := range files {
		text, err := demo.FS.ReadFile("parts/" + file.Name())
		if err != nil {
			return nil, err
		}
		for documents := yaml.NewDecoder(bytes.NewReader(text)); ; {
			var part struct {
				ID string         `yaml:"id"`
				In map[string]any `yaml:",inline"`
			}
			if err := documents.Decode(&part); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				return nil, err
			}
			part.In["id"] = part.ID
			parts[file.Name()+"#"+part.ID] = part.In
		}
	}
	return parts, nil
})

// demoBuild is one of the demo's builds with its parts put in.
func demoBuild(t testing.TB, id string) *v1.Build {
	t.Helper()
	parts, err := catalogue()
	if err != nil {
		t.Fatal(err)
	}
	text, err := demo.FS.ReadFile("builds/" + id + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	var tree map[string]any
	if err := yaml.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	for _, item := range tree["items"].([]any) {
		if fields := item.(map[string]any); parts[path.Base(fields["part"].(string))] != nil {
			fields["part"] = parts[path.Base(fields["part"].(string))]
		}
	}
	encoded, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	build := new(v1.Build)
	if err := protojson.Unmarshal(encoded, build); err != nil {
		t.Fatalf("build %s: %v", id, err)
	}
	return build
}

// demoItem is so many of one of the demo's parts.
func demoItem(t testing.TB, id, part string, count uint32) *v1.Item {
	t.Helper()
	parts, err := catalogue()
	if err != nil {
		t.Fatal(err)
	}
	encoded, err := json.Marshal(parts[part])
	if err != nil {
		t.Fatal(err)
	}
	out := &v1.Item{Id: &id, Count: &count, Part: new(v1.Part)}
	if err := protojson.Unmarshal(encoded, out.Part); err != nil {
		t.Fatalf("part %s: %v", part, err)
	}
	return out
}

// demoBuilds are the names of the demo's builds.
func demoBuilds(t testing.TB) (out []string) {
	t.Helper()
	files, err := demo.FS.ReadDir("builds")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		out = append(out, strings.TrimSuffix(file.Name(), ".yaml"))
	}
	return out
}

// judged is what the pack finds in a build, and the facts that it provides.
func judged(t testing.TB, e *kit.Evaluator, build *v1.Build, wants ...string) ([]*v1.Finding, map[string]*v1.Fact) {
	t.Helper()
	check, err := proto.Marshal(&v1.CheckRequest{Build: build, Wants: wants})
	if err != nil {
		t.Fatal(err)
	}
	var out kit.Outcome
	if err := e.Evaluate(check, nil, &out); err != nil {
		t.Fatal(err)
	}
	var response v1.CheckResponse
	if err := proto.Unmarshal(out.Findings, &response); err != nil {
		t.Fatal(err)
	}
	facts := map[string]*v1.Fact{}
	for _, f := range out.Facts {
		fact := new(v1.Fact)
		if err := proto.Unmarshal(f.Value, fact); err != nil {
			t.Fatal(err)
		}
		facts[f.Name] = fact
	}
	return response.Findings, facts
}

func newEvaluator(t testing.TB) *kit.Evaluator {
	t.Helper()
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	return e
}
