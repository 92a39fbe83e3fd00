package document

import (
	"errors"
	"fmt"
	"slices"

	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/proto"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// Validator tells whether documents are good. It is safe for concurrent use;
// make one at start, since making it compiles every rule of the contract.
type Validator struct {
	rules protovalidate.Validator
	fast  *table
}

// New compiles the rules of the contract.
func New() (*Validator, error) {
	rules, err := protovalidate.New(
		protovalidate.WithMessages(&slipfitv1.CheckRequest{}, &slipfitv1.Build{}, &slipfitv1.Part{}),
		protovalidate.WithDisableLazy(),
	)
	if err != nil {
		return nil, fmt.Errorf("the field rules of the contract cannot be compiled: %w", err)
	}
	fast, err := compile((&slipfitv1.CheckRequest{}).ProtoReflect().Descriptor())
	if err != nil {
		return nil, fmt.Errorf("the field rules of the contract cannot be tabled: %w", err)
	}
	return &Validator{rules: rules, fast: fast}, nil
}

// Accept reports whether an encoded CheckRequest is certainly good. It walks the
// bytes once and allocates nothing. False means that it may be bad, or that it
// is written in a way that the walk does not follow; [Validator.Check] then tells.
func (v *Validator) Accept(encoded []byte) bool {
	return v.fast.accept(v.fast.request, encoded)
}

// AcceptPart does the same with an encoded Part.
func (v *Validator) AcceptPart(encoded []byte) bool {
	return v.fast.accept(v.fast.part, encoded)
}

// Check tells everything that is wrong with an encoded CheckRequest; nothing
// where it is good. It decodes only what [Validator.Accept] does not accept.
func (v *Validator) Check(encoded []byte) []Violation {
	if v.Accept(encoded) {
		return nil
	}
	return v.checkSlowly(encoded)
}

func (v *Validator) checkSlowly(encoded []byte) []Violation {
	var request slipfitv1.CheckRequest
	if err := decode(encoded, &request); err != nil {
		var e *Error
		if errors.As(err, &e) {
			return e.Violations()
		}
		return []Violation{{Reason: err.Error()}}
	}
	// What sanity looks for, decode has refused already.
	return v.sound(&request, func(c *crossCheck) { c.request(&request) })
}

// Validate tells everything that is wrong with a question, up to [MaxFaults];
// nothing where it is good.
func (v *Validator) Validate(request *slipfitv1.CheckRequest) []Violation {
	return v.validate(request, func(c *crossCheck) { c.request(request) })
}

// ValidateBuild tells everything that is wrong with a build on its own. Paths
// start in the build.
func (v *Validator) ValidateBuild(build *slipfitv1.Build) []Violation {
	return v.validate(build, func(c *crossCheck) { c.build(build, "") })
}

// ValidatePart tells everything that is wrong with a part on its own. Paths
// start in the part.
func (v *Validator) ValidatePart(part *slipfitv1.Part) []Violation {
	return v.validate(part, func(c *crossCheck) { c.part(part, "") })
}

func (v *Validator) validate(message proto.Message, cross func(*crossCheck)) []Violation {
	if message == nil || !message.ProtoReflect().IsValid() {
		return []Violation{{Reason: "there is no document; send one"}}
	}
	s := sanity{}
	s.message(message.ProtoReflect(), nil)
	if size := proto.Size(message); size > MaxEncoded {
		s.add("", fmt.Sprintf("the document is %d bytes long; it may have %d, so leave something out", size, MaxEncoded))
	}
	if len(s.found) > 0 {
		return s.found[:min(len(s.found), MaxFaults)]
	}
	return v.sound(message, cross)
}

// sound holds a message that was decoded properly against the rules.
func (v *Validator) sound(message proto.Message, cross func(*crossCheck)) []Violation {
	found := v.byRules(message)
	c := crossCheck{}
	cross(&c)
	found = append(found, c.found...)
	if len(found) > 1 {
		// The checks across fields name the item that bears an id again.
		found = slices.DeleteFunc(found, func(v Violation) bool { return v.Reason == uniqueItemsWords })
	}
	return found[:min(len(found), MaxFaults)]
}

// byRules holds a message against the field rules of the contract.
func (v *Validator) byRules(message proto.Message) []Violation {
	err := v.rules.Validate(message)
	if err == nil {
		return nil
	}
	var failed *protovalidate.ValidationError
	if !errors.As(err, &failed) {
		return []Violation{{Reason: fmt.Sprintf("the field rules of the contract cannot be evaluated: %v", err)}}
	}
	found := make([]Violation, 0, len(failed.Violations))
	for _, violation := range failed.Violations {
		found = append(found, violationOf(message.ProtoReflect().Descriptor(), violation))
	}
	return found
}
