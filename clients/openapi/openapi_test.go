package openapi

import (
	"encoding/json"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protodesc"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/descriptorpb"

	kept "slipfit.example/proto/openapi"
	v1 "slipfit.example/proto/slipfit/v1"
)

// contract are the descriptors of the contract as this program has them, without comments.
func contract() *descriptorpb.FileDescriptorSet {
	set := new(descriptorpb.FileDescriptorSet)
	seen := map[string]bool{}
	var add func(protoreflect.FileDescriptor)
	add = func(f protoreflect.FileDescriptor) {
		if seen[f.Path()] {
			return
		}
		seen[f.Path()] = true
		for i := range f.Imports().Len() {
			add(f.Imports().Get(i).FileDescriptor)
		}
		set.File = append(set.File, protodesc.ToFileDescriptorProto(f))
	}
	add(v1.File_slipfit_v1_check_service_proto)
	add(v1.File_slipfit_v1_shortlist_service_proto)
	add(v1.File_slipfit_v1_sheet_service_proto)
	add(v1.File_slipfit_v1_pack_service_proto)
	return set
}

// The document that is kept is the one of this contract, comments aside: those are held
// by proto/tools/generate.sh, which writes it anew.
func TestKeptDocumentIsOfThisContract(t *testing.T) {
	asJSON, asYAML, err := Document(contract())
	if err != nil {
		t.Fatal(err)
	}
	var fresh, old, oldYAML, freshYAML any
	for text, into := range map[*[]byte]*any{&asJSON: &fresh, &kept.JSON: &old} {
		if err := json.Unmarshal(*text, into); err != nil {
			t.Fatal(err)
		}
	}
	for text, into := range map[*[]byte]*any{&asYAML: &freshYAML, &kept.YAML: &oldYAML} {
		if err := yaml.Unmarshal(*text, into); err != nil {
			t.Fatal(err)
		}
	}
	for name, pair := range map[string][2]any{"JSON": {fresh, old}, "YAML": {freshYAML, oldYAML}} {
		if !reflect.DeepEqual(bare(pair[0]), bare(pair[1])) {
			t.Errorf("the document as %s is stale; run proto/tools/generate.sh", name)
		}
	}
}

// bare is a value without descriptions.
func bare(v any) any {
	switch v := v.(type) {
	case map[string]any:
		out := map[string]any{}
		for key, member := range v {
			if _, text := member.(string); text && (key == "description" || key == "summary") {
				continue
			}
			out[key] = bare(member)
		}
		return out
	case []any:
		for i := range v {
			v[i] = bare(v[i])
		}
	}
	return v
}

// What people read is there: every route and every field of a question is described.
func TestKeptDocumentSpeaks(t *testing.T) {
	var document struct {
		Paths      map[string]map[string]struct{ Summary, Description, OperationID string }
		Components struct {
			Schemas map[string]struct {
				Description string
				Properties  map[string]struct{ Description string }
			}
		}
	}
	if err := json.Unmarshal(kept.JSON, &document); err != nil {
		t.Fatal(err)
	}
	ids := map[string]bool{}
	for path, operations := range document.Paths {
		for verb, op := range operations {
			if op.Summary == "" || op.Description == "" || ids[op.OperationID] {
				t.Errorf("%s %s has summary %q, id %q", verb, path, op.Summary, op.OperationID)
			}
			ids[op.OperationID] = true
		}
	}
	fields := 0
	for name, schema := range document.Components.Schemas {
		for field, property := range schema.Properties {
			fields++
			if property.Description == "" {
				t.Errorf("%s.%s has no description", name, field)
			}
		}
	}
	if fields < 500 {
		t.Errorf("the document describes %d fields", fields)
	}
}

func TestContractsThatCannotBeDescribed(t *testing.T) {
	for name, change := range map[string]func(*descriptorpb.FileDescriptorSet) *descriptorpb.FileDescriptorSet{
		"has no service": func(*descriptorpb.FileDescriptorSet) *descriptorpb.FileDescriptorSet {
			return &descriptorpb.FileDescriptorSet{}
		},
		"do not fit together": func(set *descriptorpb.FileDescriptorSet) *descriptorpb.FileDescriptorSet {
			return &descriptorpb.FileDescriptorSet{File: set.File[len(set.File)-1:]}
		},
	} {
		if _, _, err := Document(change(proto.CloneOf(contract()))); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The command says what is wrong with its arguments.
func TestWriteSaysWhatIsWrong(t *testing.T) {
	out, err := exec.CommandContext(t.Context(), "go", "run", "./write", filepath.Join(t.TempDir(), "none.binpb"), t.TempDir()).CombinedOutput()
	if err == nil || !strings.Contains(string(out), "none.binpb") {
		t.Errorf("got %v: %s", err, out)
	}
}
