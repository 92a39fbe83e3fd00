// Package policy knows files that set rules' parameters: one policy by itself, and
// a tenants file with one for everybody and one for each tenant. It also lays
// policies over each other.
package policy

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Limits of a policy file.
const (
	// MaxFile is the greatest size of a file in bytes.
	MaxFile = 1 << 20
	// MaxValues is how many parameters one policy may set, as in a request.
	MaxValues = 128
	// MaxTenants is how many tenants a file may name.
	MaxTenants = 4096
	// maxName is the longest name of a parameter or a tenant in bytes.
	maxName = 128
)

// Values are the parameters that one policy sets, by name.
type Values []*v1.PolicyValue

// Tenants are the policies of a service: one for everybody and one for each
// tenant.
type Tenants struct {
	// All holds for every request.
	All Values
	// Each holds for the requests of one tenant, over All.
	Each map[string]Values
}

// Read reads a policy: a YAML mapping from parameters to numbers. The error names
// file, line and column of everything that is wrong.
func Read(file string, data []byte) (Values, error) {
	root, err := parse(file, data)
	if err != nil || root == nil {
		return nil, err
	}
	return FromNode(file, root)
}

// FromNode reads a policy that stands in a larger file.
func FromNode(file string, node *yaml.Node) (Values, error) {
	r := reader{file: file}
	values := r.values(node)
	return values, errors.Join(r.errs...)
}

// ReadTenants reads a tenants file: "all" with a policy, and "tenants" with a
// policy under each tenant's name.
func ReadTenants(file string, data []byte) (*Tenants, error) {
	root, err := parse(file, data)
	out := &Tenants{Each: map[string]Values{}}
	if err != nil || root == nil {
		return out, err
	}
	r := reader{file: file}
	for key, value := range r.entries(root, "a tenants file holds 'all' and 'tenants'") {
		switch key.Value {
		case "all":
			out.All = r.values(value)
		case "tenants":
			r.tenants(value, out)
		default:
			r.complain(key, "a tenants file holds 'all' and 'tenants', not %q", key.Value)
		}
	}
	return out, errors.Join(r.errs...)
}

func (r *reader) tenants(node *yaml.Node, out *Tenants) {
	for key, value := range r.entries(node, "'tenants' holds a policy under each tenant's name") {
		if len(out.Each) == MaxTenants {
			r.complain(key, "the file names more than %d tenants", MaxTenants)
			return
		}
		out.Each[key.Value] = r.values(value)
	}
}

// parse returns the root of a document, nil of an empty one.
func parse(file string, data []byte) (*yaml.Node, error) {
	if len(data) > MaxFile {
		return nil, fmt.Errorf("%s has %d bytes, more than the %d that a policy file may have", file, len(data), MaxFile)
	}
	var document yaml.Node
	if err := yaml.Unmarshal(data, &document); err != nil {
		return nil, fmt.Errorf("%s is no YAML: %s", file, strings.TrimPrefix(err.Error(), "yaml: "))
	}
	if len(document.Content) == 0 {
		return nil, nil
	}
	return document.Content[0], nil
}

// reader gathers what is wrong.
type reader struct {
	file string
	errs []error
}

func (r *reader) complain(at *yaml.Node, format string, args ...any) {
	r.errs = append(r.errs, fmt.Errorf("%s:%d:%d: %s", r.file, at.Line, at.Column, fmt.Sprintf(format, args...)))
}

// entries yields key and value of a mapping, each key once.
func (r *reader) entries(node *yaml.Node, otherwise string) func(yield func(key, value *yaml.Node) bool) {
	return func(yield func(key, value *yaml.Node) bool) {
		if node.Kind != yaml.MappingNode {
			if node.Tag != "!!null" {
				r.complain(node, "%s", otherwise)
			}
			return
		}
		seen := map[string]int{}
		for i := 0; i+1 < len(node.Content); i += 2 {
			key, value := node.Content[i], node.Content[i+1]
			switch line, twice := seen[key.Value], seen[key.Value] > 0; {
			case key.Kind != yaml.ScalarNode || key.Value == "" || len(key.Value) > maxName:
				r.complain(key, "a name of 1 to %d bytes is wanted here", maxName)
				continue
			case twice:
				r.complain(key, "%q stands in line %d already", key.Value, line)
				continue
			}
			seen[key.Value] = key.Line
			if !yield(key, value) {
				return
			}
		}
	}
}

func (r *reader) values(node *yaml.Node) (out Values) {
	for key, value := range r.entries(node, "a policy is a parameter and a number on each line, such as 'tolerance.length_mm: 1'") {
		number, err := strconv.ParseFloat(value.Value, 64)
		if value.Kind != yaml.ScalarNode || err != nil || math.IsNaN(number) || math.IsInf(number, 0) {
			r.complain(value, "%s is set to a number, not to %q", key.Value, value.Value)
			continue
		}
		if len(out) == MaxValues {
			r.complain(key, "a policy sets at most %d parameters", MaxValues)
			return out
		}
		out = append(out, &v1.PolicyValue{Parameter: proto.String(key.Value), Value: &number})
	}
	slices.SortFunc(out, func(a, b *v1.PolicyValue) int { return strings.Compare(a.GetParameter(), b.GetParameter()) })
	return out
}

// Over lays upper over lower: where both set a parameter, upper's value holds.
func (upper Values) Over(lower Values) Values {
	out := slices.Clone(upper)
	for _, v := range lower {
		if !upper.Sets(v.GetParameter()) {
			out = append(out, v)
		}
	}
	return out
}

// Sets reports whether the policy sets a parameter.
func (upper Values) Sets(parameter string) bool {
	return slices.ContainsFunc(upper, func(v *v1.PolicyValue) bool { return v.GetParameter() == parameter })
}
