package geometry

import (
	"fmt"
	"strings"
)

// Rotation is one of the 24 rotations that turn axis-aligned boxes into axis-aligned boxes. The zero value turns nothing.
type Rotation struct{ index uint8 }

// image tells where a rotation takes the three local axes: local axis k goes to the direction image[k].
type image [3]Face

var (
	images    [24]image
	composed  [24][24]uint8
	inverted  [24]uint8
	turnIndex = map[image]uint8{}
)

func init() {
	n := uint8(0)
	// MaxX and MaxY come first in the order below so that index 0 is the identity.
	order := []Face{MaxX, MaxY, MaxZ, MinX, MinY, MinZ}
	for _, fx := range order {
		for _, fy := range order {
			if fx.Axis() == fy.Axis() {
				continue
			}
			im := image{fx, fy, crossFace(fx, fy)}
			images[n], turnIndex[im] = im, n
			n++
		}
	}
	for a := range images {
		for b := range images {
			var im image
			for k := range im {
				im[k] = images[a].apply(images[b][k])
			}
			composed[a][b] = turnIndex[im]
			if turnIndex[im] == 0 {
				inverted[a] = uint8(b)
			}
		}
	}
}

// crossFace returns the direction that completes a right-handed frame with two perpendicular directions.
func crossFace(a, b Face) Face {
	third := X + Y + Z - a.Axis() - b.Axis()
	cyclic := (a.Axis()+1)%3 == b.Axis()
	return FaceOf(third, cyclic == (a.Sign()*b.Sign() > 0))
}

// apply returns where a direction goes.
func (im image) apply(f Face) Face {
	to := im[f.Axis()]
	if f.Upper() {
		return to
	}
	return to.Opposite()
}

// NewRotation returns the rotation that takes the local +X and +Y axes to the two directions given. It returns an error
// unless the two are perpendicular.
func NewRotation(x, y Face) (Rotation, error) {
	if !x.Valid() || !y.Valid() || x.Axis() == y.Axis() {
		return Rotation{}, fmt.Errorf("geometry: no rotation takes +X to %v and +Y to %v, give two perpendicular directions", x, y)
	}
	return Rotation{turnIndex[image{x, y, crossFace(x, y)}]}, nil
}

// Turn returns the rotation by a number of quarter turns about an axis, counter-clockwise seen against the axis.
func Turn(about Axis, quarters int) Rotation {
	if about > Z {
		return Rotation{}
	}
	var im image
	u, v := (about+1)%3, (about+2)%3
	im[about], im[u], im[v] = FaceOf(about, true), FaceOf(v, true), FaceOf(u, false)
	q := Rotation{turnIndex[im]}
	var r Rotation
	for range ((quarters % 4) + 4) % 4 {
		r = q.After(r)
	}
	return r
}

// Rotations returns all 24, the identity first.
func Rotations() [24]Rotation {
	var all [24]Rotation
	for i := range all {
		all[i].index = uint8(i)
	}
	return all
}

// ParseRotation reads the form that String writes: the directions of the three local axes, as in "+X +Y +Z".
func ParseRotation(s string) (Rotation, error) {
	var im image
	words := strings.Fields(s)
	if len(words) == 3 {
		for k, w := range words {
			im[k] = NoFace
			for f := MinX; f < NoFace; f++ {
				if f.String() == w {
					im[k] = f
				}
			}
		}
		if i, ok := turnIndex[im]; ok {
			return Rotation{i}, nil
		}
	}
	return Rotation{}, fmt.Errorf("geometry: %q is no rotation, give the directions of the three local axes such as \"+X +Y +Z\"", s)
}

// String prints the directions that the three local axes go to.
func (r Rotation) String() string {
	im := images[r.index]
	return im[0].String() + " " + im[1].String() + " " + im[2].String()
}

// After returns the rotation that turns by first and then by r.
func (r Rotation) After(first Rotation) Rotation { return Rotation{composed[r.index][first.index]} }

// Inverse returns the rotation that undoes r.
func (r Rotation) Inverse() Rotation { return Rotation{inverted[r.index]} }

// Face returns where a direction goes. NoFace stays NoFace.
func (r Rotation) Face(f Face) Face {
	if !f.Valid() {
		return NoFace
	}
	return images[r.index].apply(f)
}

// Vec turns a displacement. The coordinates are moved and negated, never rounded.
func (r Rotation) Vec(v Vec) Vec {
	var w Vec
	for k, to := range images[r.index] {
		w[to.Axis()] = to.Sign() * v[k]
	}
	return w
}

// Pose places a local frame: it turns, then moves. The zero value leaves everything where it is.
type Pose struct {
	turn Rotation
	at   Vec
}

// NewPose returns the pose that turns by r and then moves the local origin to a point. It returns an error if the point
// is not finite or lies outside Reach.
func NewPose(r Rotation, at Vec) (Pose, error) {
	if err := at.Check(); err != nil {
		return Pose{}, fmt.Errorf("geometry: a pose cannot be made: %w", err)
	}
	return Pose{r, at}, nil
}

// Rotation returns the turning part.
func (p Pose) Rotation() Rotation { return p.turn }

// Origin returns where the local origin goes.
func (p Pose) Origin() Vec { return p.at }

// After returns the pose that applies first and then p.
func (p Pose) After(first Pose) Pose {
	return Pose{p.turn.After(first.turn), p.turn.Vec(first.at).Add(p.at)}
}

// Inverse returns the pose that undoes p.
func (p Pose) Inverse() Pose {
	back := p.turn.Inverse()
	return Pose{back, back.Vec(p.at).Scale(-1)}
}

// Point places a local point.
func (p Pose) Point(v Vec) Vec { return p.turn.Vec(v).Add(p.at) }

// Box places a local box. Each bound of the result is one bound of the local box, moved: nothing grows by rounding a
// rotation matrix.
func (p Pose) Box(b Box) Box {
	var out Box
	for k, to := range images[p.turn.index] {
		a := to.Axis()
		if to.Upper() {
			out.min[a], out.max[a] = b.min[k]+p.at[a], b.max[k]+p.at[a]
		} else {
			out.min[a], out.max[a] = p.at[a]-b.max[k], p.at[a]-b.min[k]
		}
	}
	return out
}
