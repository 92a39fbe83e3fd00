package clearance

import (
	"bytes"
	"encoding/json"
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

// demoParts are the demo's parts by file and id, as trees.
var demoParts = sync.OnceValues(func() (map[string]any, error) {
	parts := map[string]any{}
	entries, err := demo.FS.ReadDir("parts")
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		data, err := demo.FS.ReadFile("parts/" + e.Name())
		if err != nil {
			return nil, err
		}
		for decoder := yaml.NewDecoder(bytes.NewReader(data)); ; {
			var tree map[string]any
			if err := decoder.Decode(&tree); err == io.EOF {
				break
			} else if err != nil {
				return nil, err
			}
			parts[e.Name()+"#"+tree["id"].(string)] = tree
		}
	}
	return parts, nil
})

// demoBuild reads a build of the demo, references followed.
func demoBuild(t testing.TB, id string) *v1.Build {
	t.Helper()
	parts, err := demoParts()
	if err != nil {
		t.Fatal(err)
	}
	data, err := demo.FS.ReadFile("builds/" + id + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	var tree map[string]any
	if err := yaml.Unmarshal(data, &tree); err != nil {
		t.Fatal(err)
	}
	for _, item := range tree["items"].([]any) {
		item := item.(map[string]any)
		if name, ok := item["part"].(string); ok {
			if item["part"] = parts[path.Base(name)]; item["part"] == nil {
				t.Fatalf("the demo has no part %s", name)
			}
		}
	}
	encoded, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	build := new(v1.Build)
	if err := protojson.Unmarshal(encoded, build); err != nil {
		t.Fatal(err)
	}
	return build
}

// checked is a build's findings and facts.
func checked(t testing.TB, build *v1.Build, wants ...string) ([]*v1.Finding, map[string]*v1.Fact) {
	t.Helper()
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
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

// demoBuilds are the builds of the demo.
func demoBuilds(t testing.TB) (ids []string) {
	t.Helper()
	entries, err := demo.FS.ReadDir("builds")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		ids = append(ids, strings.TrimSuffix(e.Name(), ".yaml"))
	}
	return ids
}
