package trial

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/policy"
)

// Ruleset is one side of a trial as a file names it.
type Ruleset struct {
	// Name is the file's title, or its name.
	Name string
	// HouseFiles are the files that HouseRules of Message is made of.
	HouseFiles []string
	// Message is the side as the service takes it.
	Message *v1.TrialRuleset
}

// ReadRuleset reads a ruleset file. All of its keys are optional: "title"; "packs"
// with a version or range under each pack's name; "policy" with a number under each
// parameter's name; "house" with house rules files, which lie relative to the file.
// The error names line and column.
func ReadRuleset(file string) (*Ruleset, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", file, errors.Unwrap(err))
	}
	var document yaml.Node
	if err := yaml.Unmarshal(data, &document); err != nil {
		return nil, fmt.Errorf("%s is no YAML: %s", file, strings.TrimPrefix(err.Error(), "yaml: "))
	}
	out := &Ruleset{Name: filepath.Base(file), Message: &v1.TrialRuleset{}}
	if len(document.Content) == 0 {
		return out, nil
	}
	r := rulesetReader{file: file, out: out}
	r.root(document.Content[0])
	return out, errors.Join(r.errs...)
}

type rulesetReader struct {
	file string
	out  *Ruleset
	errs []error
}

func (r *rulesetReader) complain(at *yaml.Node, format string, args ...any) {
	r.errs = append(r.errs, fmt.Errorf("%s:%d:%d: %s", r.file, at.Line, at.Column, fmt.Sprintf(format, args...)))
}

func (r *rulesetReader) root(node *yaml.Node) {
	if node.Kind != yaml.MappingNode {
		r.complain(node, "a ruleset holds 'title', 'packs', 'policy' and 'house'")
		return
	}
	for i := 0; i+1 < len(node.Content); i += 2 {
		key, value := node.Content[i], node.Content[i+1]
		switch key.Value {
		case "title":
			r.out.Name = value.Value
		case "packs":
			r.packs(value)
		case "policy":
			values, err := policy.FromNode(r.file, value)
			r.out.Message.Policy = values
			if err != nil {
				r.errs = append(r.errs, err)
			}
		case "house":
			r.house(value)
		default:
			r.complain(key, "a ruleset holds 'title', 'packs', 'policy' and 'house', not %q", key.Value)
		}
	}
}

func (r *rulesetReader) packs(node *yaml.Node) {
	if node.Kind != yaml.MappingNode {
		r.complain(node, "'packs' holds a version under each pack's name, such as 'clearance: \"^1.2\"'")
		return
	}
	for i := 0; i+1 < len(node.Content); i += 2 {
		name, version := node.Content[i], node.Content[i+1]
		if version.Kind != yaml.ScalarNode || version.Value == "" {
			r.complain(version, "%s wants a version or a range of versions", name.Value)
			continue
		}
		r.out.Message.Packs = append(r.out.Message.Packs, &v1.PackPin{
			Name: proto.String(name.Value), Version: proto.String(version.Value),
		})
	}
}

// house joins the house rules files into one text of several documents.
func (r *rulesetReader) house(node *yaml.Node) {
	if node.Kind != yaml.SequenceNode {
		r.complain(node, "'house' is a list of house rules files")
		return
	}
	var text strings.Builder
	for _, entry := range node.Content {
		path := entry.Value
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(r.file), path)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			r.complain(entry, "house rules %s cannot be read: %v", path, errors.Unwrap(err))
			continue
		}
		r.out.HouseFiles = append(r.out.HouseFiles, path)
		if text.Len() > 0 {
			text.WriteString("\n---\n")
		}
		text.Write(data)
	}
	r.out.Message.HouseRules = proto.String(text.String())
}
