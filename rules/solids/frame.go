package solids

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
)

// FaceOf is the direction that an axis of the contract names; NoFace where it
// names none.
func FaceOf(a v1.Axis) geometry.Face {
	switch a {
	case v1.Axis_AXIS_X_PLUS:
		return geometry.MaxX
	case v1.Axis_AXIS_X_MINUS:
		return geometry.MinX
	case v1.Axis_AXIS_Y_PLUS:
		return geometry.MaxY
	case v1.Axis_AXIS_Y_MINUS:
		return geometry.MinY
	case v1.Axis_AXIS_Z_PLUS:
		return geometry.MaxZ
	case v1.Axis_AXIS_Z_MINUS:
		return geometry.MinZ
	default:
		return geometry.NoFace
	}
}

// AxisOf is the contract's name of a direction.
func AxisOf(f geometry.Face) v1.Axis {
	switch f {
	case geometry.MaxX:
		return v1.Axis_AXIS_X_PLUS
	case geometry.MinX:
		return v1.Axis_AXIS_X_MINUS
	case geometry.MaxY:
		return v1.Axis_AXIS_Y_PLUS
	case geometry.MinY:
		return v1.Axis_AXIS_Y_MINUS
	case geometry.MaxZ:
		return v1.Axis_AXIS_Z_PLUS
	case geometry.MinZ:
		return v1.Axis_AXIS_Z_MINUS
	default:
		return v1.Axis_AXIS_UNSPECIFIED
	}
}

// PointOf reads a point; what is absent counts as 0.
func PointOf(p *v1.Point) geometry.Vec { return geometry.Vec{p.GetXMm(), p.GetYMm(), p.GetZMm()} }

// PoseOf reads a pose. An absent direction of X or Z is that of the enclosure's
// frame. It returns an error unless the two are at right angles.
func PoseOf(p *v1.Pose) (geometry.Pose, error) {
	x, z := FaceOf(p.GetXPoints()), FaceOf(p.GetZPoints())
	if x == geometry.NoFace {
		x = geometry.MaxX
	}
	if z == geometry.NoFace {
		z = geometry.MaxZ
	}
	if x.Axis() == z.Axis() {
		return geometry.Pose{}, fmt.Errorf("x_points %v and z_points %v are not at right angles: correct one of them", x, z)
	}
	r, err := geometry.NewRotation(x, across(z, x))
	if err != nil {
		return geometry.Pose{}, err
	}
	return geometry.NewPose(r, PointOf(p.GetOrigin()))
}

// across is the direction a x b of two directions at right angles.
func across(a, b geometry.Face) geometry.Face {
	third := geometry.Axis(3 - int(a.Axis()) - int(b.Axis()))
	cyclic := (int(a.Axis())+1)%3 == int(b.Axis())
	return geometry.FaceOf(third, cyclic == (a.Upper() == b.Upper()))
}

// PoseMessage writes a pose as the contract has it.
func PoseMessage(p geometry.Pose) *v1.Pose {
	at := p.Origin()
	x, z := AxisOf(p.Rotation().Face(geometry.MaxX)), AxisOf(p.Rotation().Face(geometry.MaxZ))
	return &v1.Pose{Origin: &v1.Point{XMm: &at[0], YMm: &at[1], ZMm: &at[2]}, XPoints: &x, ZPoints: &z}
}

// BoxOf reads an extent. It returns an error that names the edge where a size is
// absent, not above zero, or no number.
func BoxOf(e *v1.Extent) (geometry.Box, error) {
	return geometry.NewBoxAt(PointOf(e.GetCorner()), geometry.Vec{e.GetSizeXMm(), e.GetSizeYMm(), e.GetSizeZMm()})
}

// ExtentMessage writes a box as the contract has it.
func ExtentMessage(b geometry.Box) *v1.Extent {
	at, size := b.Min(), b.Size()
	return &v1.Extent{
		Corner:  &v1.Point{XMm: &at[0], YMm: &at[1], ZMm: &at[2]},
		SizeXMm: &size[0], SizeYMm: &size[1], SizeZMm: &size[2],
	}
}

// PurposeOf reads a purpose; absent counts as matter.
func PurposeOf(p v1.Purpose) geometry.Purpose {
	switch p {
	case v1.Purpose_PURPOSE_PLUG:
		return geometry.PurposePlug
	case v1.Purpose_PURPOSE_ACCESS:
		return geometry.PurposeAccess
	case v1.Purpose_PURPOSE_BREATH:
		return geometry.PurposeBreath
	default:
		return geometry.PurposeSolid
	}
}

// PurposeMessage writes a purpose as the contract has it.
func PurposeMessage(p geometry.Purpose) v1.Purpose {
	switch p {
	case geometry.PurposePlug:
		return v1.Purpose_PURPOSE_PLUG
	case geometry.PurposeAccess:
		return v1.Purpose_PURPOSE_ACCESS
	case geometry.PurposeBreath:
		return v1.Purpose_PURPOSE_BREATH
	default:
		return v1.Purpose_PURPOSE_SOLID
	}
}

// own adds the boxes that a part brings itself and reports whether it brings any.
func (r *reader) own(s *geometry.Solid) bool {
	for i, b := range r.part.GetBodies() {
		box, err := BoxOf(b.GetExtent())
		if err != nil {
			r.fail(fmt.Errorf("bodies[%d]: %w", i, err))
			return true
		}
		name := b.GetId()
		if name == "" {
			name = fmt.Sprintf("body-%d", i+1)
		}
		s.Pieces = append(s.Pieces, geometry.Piece{Box: box, Purpose: PurposeOf(b.GetPurpose()), Name: name})
	}
	return len(r.part.GetBodies()) > 0
}

// Own returns the boxes that a part brings itself; none is no error.
func (s *Settings) Own(p *v1.Part) (geometry.Solid, error) {
	var out geometry.Solid
	r := s.reader(p)
	r.own(&out)
	return out, r.done()
}
