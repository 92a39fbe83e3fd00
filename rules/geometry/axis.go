package geometry

// Axis is one of the three coordinate axes.
type Axis uint8

// The coordinate axes, usable as indices into a Vec.
const (
	X Axis = iota
	Y
	Z
)

// String returns "X", "Y" or "Z".
func (a Axis) String() string {
	if a > Z {
		return "no axis"
	}
	return "XYZ"[a : a+1]
}

// Face is one of a box's six faces, and at the same time the direction of that face's outward normal.
type Face uint8

// The six faces by the coordinate that they bound.
const (
	MinX Face = iota
	MaxX
	MinY
	MaxY
	MinZ
	MaxZ
	// NoFace stands for a direction that is not given.
	NoFace
)

// FaceOf returns the face of an axis: the upper one if upper is true.
func FaceOf(a Axis, upper bool) Face {
	if upper {
		return Face(2*a + 1)
	}
	return Face(2 * a)
}

// Valid reports whether f is one of the six faces.
func (f Face) Valid() bool { return f < NoFace }

// Axis returns the axis that the face is perpendicular to.
func (f Face) Axis() Axis { return Axis(f / 2) }

// Upper reports whether the face bounds its axis from above.
func (f Face) Upper() bool { return f&1 == 1 }

// Opposite returns the face on the other side of the box. NoFace stays NoFace.
func (f Face) Opposite() Face {
	if !f.Valid() {
		return NoFace
	}
	return f ^ 1
}

// Sign is +1 for an upper face and -1 for a lower one.
func (f Face) Sign() float64 {
	if f.Upper() {
		return 1
	}
	return -1
}

// Normal returns the outward unit normal; that of NoFace is the zero vector.
func (f Face) Normal() Vec {
	var v Vec
	if f.Valid() {
		v[f.Axis()] = f.Sign()
	}
	return v
}

// String names the face by sign and axis: "-X", "+X", and so on.
func (f Face) String() string {
	if !f.Valid() {
		return "no face"
	}
	return "-X+X-Y+Y-Z+Z"[2*f : 2*f+2]
}
