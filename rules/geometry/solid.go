package geometry

import (
	"fmt"
	"math"
)

// Purpose says what a box stands for.
type Purpose uint8

// The purposes of a box.
const (
	// PurposeSolid is matter: nothing may overlap it.
	PurposeSolid Purpose = iota
	// PurposePlug is the room of a mated connector and the first bend of its cable.
	PurposePlug
	// PurposeAccess has to be free while the part is put in: tools, hands, travel.
	PurposeAccess
	// PurposeBreath is the free distance before an air intake.
	PurposeBreath
)

// String names the purpose.
func (p Purpose) String() string {
	if int(p) >= len(purposeNames) {
		return "no purpose"
	}
	return purposeNames[p]
}

var purposeNames = [...]string{"solid", "plug", "access", "breath"}

// Excludes reports whether boxes of the two purposes must stay apart: matter keeps out of everything, and two plugs are
// both filled in use. Access and breath may share their room with each other and with a plug.
func (p Purpose) Excludes(o Purpose) bool {
	return p == PurposeSolid || o == PurposeSolid || (p == PurposePlug && o == PurposePlug)
}

// Deviation is how far a face can lie from its nominal place, in mm along its outward normal. The terms are those of
// ISO 286-1: lower and upper limit deviation. Sigma is the standard deviation of the place.
type Deviation struct{ lower, upper, sigma float64 }

// NewDeviation returns the deviation of a face. It returns an error unless lower <= 0 <= upper, sigma >= 0, and all are
// numbers within Reach.
func NewDeviation(lower, upper, sigma float64) (Deviation, error) {
	if !(lower >= -Reach && lower <= 0 && upper >= 0 && upper <= Reach && sigma >= 0 && sigma <= Reach) {
		return Deviation{}, fmt.Errorf("geometry: a face cannot deviate by %v..%v mm with a standard deviation of %v mm, give a lower limit of at most 0, an upper limit of at least 0 and a standard deviation of at least 0", lower, upper, sigma)
	}
	return Deviation{lower, upper, sigma}, nil
}

// Limits returns the deviation between two limits whose span is taken as six standard deviations (common practice of
// statistical tolerancing, no source), with the errors of NewDeviation.
func Limits(lower, upper float64) (Deviation, error) {
	return NewDeviation(lower, upper, (upper-lower)/6)
}

// Lower returns the lower limit deviation, at most 0.
func (d Deviation) Lower() float64 { return d.lower }

// Upper returns the upper limit deviation, at least 0.
func (d Deviation) Upper() float64 { return d.upper }

// Sigma returns the standard deviation.
func (d Deviation) Sigma() float64 { return d.sigma }

// Plus returns the deviation of a face that both deviations act on independently: limits add, standard deviations add in
// quadrature.
func (d Deviation) Plus(e Deviation) Deviation {
	return Deviation{d.lower + e.lower, d.upper + e.upper, math.Hypot(d.sigma, e.sigma)}
}

// Reversed returns the same spread of a face seen against its normal, as the opposite face takes it when a whole part
// shifts.
func (d Deviation) Reversed() Deviation { return Deviation{-d.upper, -d.lower, d.sigma} }

// Piece is one box of a part.
type Piece struct {
	Box     Box
	Purpose Purpose
	// Name tells this box from the others of its part; it may be empty.
	Name string
	// Deviations holds the spread of each face, indexed by Face; the zero value is exact.
	Deviations [6]Deviation
}

// Solid is a part as a set of boxes.
type Solid struct {
	Name   string
	Pieces []Piece
}

// Hull returns the smallest box round all pieces, and false if there is none.
func (s Solid) Hull() (Box, bool) {
	if len(s.Pieces) == 0 {
		return Box{}, false
	}
	b := s.Pieces[0].Box
	for i := range s.Pieces[1:] {
		b = b.Hull(s.Pieces[1+i].Box)
	}
	return b, true
}

// Piece places a local piece; its deviations go with their faces.
func (p Pose) Piece(c Piece) Piece {
	out := c
	out.Box = p.Box(c.Box)
	for f := MinX; f < NoFace; f++ {
		out.Deviations[p.turn.Face(f)] = c.Deviations[f]
	}
	return out
}

// Solid places a local part into new memory.
func (p Pose) Solid(s Solid) Solid {
	out := Solid{s.Name, make([]Piece, len(s.Pieces))}
	for i := range s.Pieces {
		out.Pieces[i] = p.Piece(s.Pieces[i])
	}
	return out
}

// Shifted returns the part with every face loosened by an uncertain shift of the whole along one direction: the faces
// towards it take the deviation, the faces away from it its reverse.
func (s Solid) Shifted(along Face, d Deviation) Solid {
	out := Solid{s.Name, append([]Piece(nil), s.Pieces...)}
	if !along.Valid() {
		return out
	}
	for i := range out.Pieces {
		dev := &out.Pieces[i].Deviations
		dev[along] = dev[along].Plus(d)
		dev[along.Opposite()] = dev[along.Opposite()].Plus(d.Reversed())
	}
	return out
}
