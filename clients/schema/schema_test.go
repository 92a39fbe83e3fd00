package schema

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// compiled is a schema in the hands of a general validator.
func compiled(t testing.TB, m proto.Message, o Options) *jsonschema.Schema {
	t.Helper()
	text, err := Schema(m.ProtoReflect().Descriptor(), o)
	if err != nil {
		t.Fatal(err)
	}
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	if err := c.AddResource("document.json", value); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("document.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// values are the documents of a file as a general reader of YAML sees them.
func values(t testing.TB, name string) (out []any) {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	d := yaml.NewDecoder(f)
	for {
		var v any
		err := d.Decode(&v)
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if list, ok := v.([]any); ok {
			out = append(out, list...)
			continue
		}
		out = append(out, v)
	}
}

func files(t testing.TB, patterns ...string) (out []string) {
	t.Helper()
	for _, p := range patterns {
		found, err := filepath.Glob(p)
		if err != nil || len(found) == 0 {
			t.Fatalf("%s names no file: %v", p, err)
		}
		out = append(out, found...)
	}
	return out
}

func TestTheDemosBuildsAreAcceptedWithTheirReferences(t *testing.T) {
	s := compiled(t, &v1.Build{}, Options{References: true})
	question := compiled(t, &v1.CheckRequest{}, Options{References: true})
	strict := compiled(t, &v1.Build{}, Options{})
	for _, name := range files(t, "../demo/builds/*.yaml", "../../server/document/testdata/*.yaml", "../../server/document/testdata/*.json") {
		for _, v := range values(t, name) {
			schema := s
			if _, ok := v.(map[string]any)["build"]; ok {
				schema = question
			}
			if err := schema.Validate(v); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		if strings.Contains(name, "demo") && strict.Validate(values(t, name)[0]) == nil {
			t.Errorf("%s names parts by their files, and the schema without references takes it", name)
		}
	}
}

func TestTheDemosBuildsAreAcceptedResolved(t *testing.T) {
	s := compiled(t, &v1.Build{}, Options{})
	resolve := document.FileResolver("../..")
	for _, name := range files(t, "../demo/builds/*.yaml") {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		build := new(v1.Build)
		if _, err := (document.Options{Resolve: resolve}).Read("clients/demo/builds/"+filepath.Base(name), text, build); err != nil {
			t.Fatal(err)
		}
		encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(build)
		if err != nil {
			t.Fatal(err)
		}
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(encoded))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(value); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestTheDemosPartsAreAccepted(t *testing.T) {
	s := compiled(t, &v1.Part{}, Options{})
	n := 0
	for _, name := range files(t, "../demo/parts/*.yaml") {
		for _, v := range values(t, name) {
			if err := s.Validate(v); err != nil {
				t.Errorf("%s: %v", name, err)
			}
			n++
		}
	}
	if n < 80 {
		t.Errorf("only %d parts were seen", n)
	}
}

// beyond are complaints about how a text is written, which a general reader of YAML
// or JSON takes differently or not at all, or about what is no matter of a schema.
var beyond = []string{
	"duplicate key", "hexadecimal", "octal", "alias", "anchor", "tag", "merge", "reference", "deep", "many", "surrogate", "UTF-8", "byte", "binary",
	"second document", "comments", "empty", "truncated", "trailing", "single quotes", "bare word", "JSON number", "NaN", "comment", "null", "complex",
	"control", "tab", "long", "escape", "key", "directive", "huge", "both names of a field",
}

// The bad documents that the reader's own tests hold are bad for the schema too.
func TestBadDocumentsAreRejected(t *testing.T) {
	s := compiled(t, &v1.Build{}, Options{})
	rejected, passed := 0, 0
	for _, bad := range badDocuments(t) {
		var v any
		if strings.HasSuffix(bad.name, ".json") {
			if json.Unmarshal([]byte(bad.text), &v) != nil {
				continue
			}
		} else if yaml.Unmarshal([]byte(bad.text), &v) != nil {
			continue
		}
		if s.Validate(v) != nil {
			rejected++
			continue
		}
		passed++
		known := false
		for _, word := range beyond {
			known = known || strings.Contains(bad.what, word)
		}
		if !known {
			t.Errorf("%s is taken: %s", bad.what, bad.text)
		}
	}
	t.Logf("%d rejected, %d are no matter of a schema", rejected, passed)
	if rejected < 20 {
		t.Errorf("only %d bad documents were rejected", rejected)
	}
}

type badDocument struct{ what, name, text string }

// badDocuments reads the table of refusals out of the source of the reader's tests.
func badDocuments(t *testing.T) (out []badDocument) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "../../server/document/refusals_test.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(file, func(n ast.Node) bool {
		row, ok := n.(*ast.CompositeLit)
		if !ok || row.Type != nil || len(row.Elts) < 3 {
			return true
		}
		var texts []string
		for _, e := range row.Elts[:3] {
			if lit, ok := e.(*ast.BasicLit); ok && lit.Kind == token.STRING {
				if s, err := strconv.Unquote(lit.Value); err == nil {
					texts = append(texts, s)
				}
			}
		}
		if len(texts) == 3 {
			out = append(out, badDocument{texts[0], texts[1], texts[2]})
		}
		return false
	})
	if len(out) < 20 {
		t.Fatalf("only %d bad documents were found", len(out))
	}
	return out
}

// Every value that a schema rejects the validator rejects too, and the other way
// round: each figure of a good build is set to values within and beyond its bounds.
func TestSchemaAndValidatorAgreeOnEveryFigure(t *testing.T) {
	s := compiled(t, &v1.Build{}, Options{})
	validator, err := document.New()
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../demo/builds/listening-room.yaml")
	if err != nil {
		t.Fatal(err)
	}
	build := new(v1.Build)
	if _, err := (document.Options{Resolve: document.FileResolver("../..")}).Read("clients/demo/builds/listening-room.yaml", text, build); err != nil {
		t.Fatal(err)
	}
	encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(build)
	if err != nil {
		t.Fatal(err)
	}
	root, err := jsonschema.UnmarshalJSON(bytes.NewReader(encoded))
	if err != nil {
		t.Fatal(err)
	}
	tried, rejected, leaves := 0, 0, 0
	eachLeaf(root, "", func(path string, set func(any), old any) {
		// A prime number of leaves apart, so that like fields come up in turn.
		if leaves++; leaves%7 != 0 {
			return
		}
		for _, v := range replacements(old) {
			set(v)
			tried++
			bySchema := s.Validate(root)
			again, err := json.Marshal(root)
			if err != nil {
				t.Fatal(err)
			}
			changed := new(v1.Build)
			refused := ""
			if err := document.Read("b.json", again, changed); err != nil {
				refused = err.Error()
			} else if violations := validator.ValidateBuild(changed); len(violations) > 0 {
				refused = violations[0].String()
			}
			if bySchema != nil {
				rejected++
			}
			if bySchema != nil && refused == "" {
				t.Errorf("%s = %v: the schema rejects what the service takes: %v", path, v, bySchema)
			}
			if bySchema == nil && refused != "" && fieldRule(refused) {
				t.Errorf("%s = %v: the schema takes what the service rejects: %s", path, v, refused)
			}
		}
		set(old)
	})
	t.Logf("%d changes, %d rejected", tried, rejected)
	if rejected < 100 {
		t.Errorf("only %d changes were rejected", rejected)
	}
}

// fieldRule tells a complaint about one field's rule from one about how fields stand
// to each other.
func fieldRule(reason string) bool {
	for _, words := range []string{"has no", "already", "order", "rises", "falls", "right angles", "no day", "counted from", "has one chassis", "does not have", "is no field", "nearest"} {
		if strings.Contains(reason, words) {
			return false
		}
	}
	return true
}

func replacements(old any) []any {
	switch old.(type) {
	case json.Number, float64:
		return []any{json.Number("-1"), json.Number("1e9"), json.Number("0.5"), "many"}
	case string:
		return []any{"", strings.Repeat("x", 300), json.Number("3")}
	case bool:
		return []any{"yes"}
	}
	return nil
}

func eachLeaf(v any, path string, visit func(path string, set func(any), old any)) {
	switch node := v.(type) {
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(node)) {
			child := node[key]
			if isBranch(child) {
				eachLeaf(child, path+"."+key, visit)
				continue
			}
			visit(path+"."+key, func(v any) { node[key] = v }, child)
		}
	case []any:
		for i, child := range node {
			at := path + "[" + strconv.Itoa(i) + "]"
			if isBranch(child) {
				eachLeaf(child, at, visit)
				continue
			}
			visit(at, func(v any) { node[i] = v }, child)
		}
	}
}

func isBranch(v any) bool {
	switch v.(type) {
	case map[string]any, []any:
		return true
	}
	return false
}
