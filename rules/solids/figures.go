package solids

import (
	"fmt"
	"math"
	"slices"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
)

// Settings are what a policy and a build tell about boxes. The zero value takes
// published figures as exact and plugs as they are customary.
type Settings struct {
	// ToleranceMM is how far a published length may be off both ways where the
	// part does not say.
	ToleranceMM float64
	// Plug tells how much room a plug of a connector takes. Nil, or false, leaves
	// it to CustomaryPlug.
	Plug func(connector string) (Plug, bool)
}

// MissingError tells which figures of a part are needed to give it boxes.
type MissingError struct {
	// Fields are paths from the part, such as "air_cooler.height_mm".
	Fields []string
}

// Error names the fields and the next step.
func (e *MissingError) Error() string {
	return "the part has no boxes without " + strings.Join(e.Fields, ", ") + ": add the figures, or boxes of its own"
}

// reader reads figures of one part and remembers what is missing or wrong.
type reader struct {
	part      *v1.Part
	tolerance float64
	missing   []string
	err       error
}

func (s *Settings) reader(p *v1.Part) reader { return reader{part: p, tolerance: s.ToleranceMM} }

// length reads a length; 0 stands for a missing one, which is remembered.
func (r *reader) length(field string, mm *float64) float64 {
	if mm == nil {
		r.missing = append(r.missing, field)
		return 0
	}
	if !(math.Abs(*mm) <= geometry.Reach) && r.err == nil {
		r.err = fmt.Errorf("solids: %s is %v mm, give a number", field, *mm)
	}
	return *mm
}

// or reads a length that something stands in for where it is not stated.
func (r *reader) or(field string, mm *float64, otherwise float64) float64 {
	if mm == nil {
		return otherwise
	}
	return r.length(field, mm)
}

// off is how far a figure may lie below and above.
func (r *reader) off(field string) (minus, plus float64) {
	minus, plus = r.tolerance, r.tolerance
	for _, f := range r.part.GetFigures() {
		if (f.Minus != nil || f.Plus != nil) && slices.Contains(f.Fields, field) {
			minus, plus = f.GetMinus(), f.GetPlus()
		}
	}
	return minus, plus
}

// spread is the deviation of a face that a figure moves, a share of its
// tolerance: 1 for the face opposite the origin, 0.5 for what is centred.
func (r *reader) spread(field string, share float64) geometry.Deviation {
	minus, plus := r.off(field)
	d, err := geometry.Limits(-share*minus, share*plus)
	if err != nil {
		r.fail(err)
	}
	return d
}

func (r *reader) fail(err error) {
	if r.err == nil {
		r.err = fmt.Errorf("solids: %w", err)
	}
}

// done is what stands in the way of boxes, or nil.
func (r *reader) done() error {
	if r.err != nil {
		return r.err
	}
	if len(r.missing) > 0 {
		return &MissingError{Fields: r.missing}
	}
	return nil
}

// piece makes a box between two corners and adds it to a solid, unless something
// has gone wrong before.
func (r *reader) piece(s *geometry.Solid, name string, purpose geometry.Purpose, low, high geometry.Vec) *geometry.Piece {
	if r.err != nil || len(r.missing) > 0 {
		return &geometry.Piece{}
	}
	box, err := geometry.NewBox(low, high)
	if err != nil {
		r.fail(fmt.Errorf("box %q: %w", name, err))
		return &geometry.Piece{}
	}
	s.Pieces = append(s.Pieces, geometry.Piece{Box: box, Purpose: purpose, Name: name})
	return &s.Pieces[len(s.Pieces)-1]
}

// centred gives two opposite faces half a figure's tolerance each.
func (r *reader) centred(p *geometry.Piece, axis geometry.Axis, field string) {
	p.Deviations[geometry.FaceOf(axis, false)] = r.spread(field, 0.5)
	p.Deviations[geometry.FaceOf(axis, true)] = r.spread(field, 0.5)
}
