package solids

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/standards"
)

// CustomarySupplyPlugMM is how far plugs and the first bend of their cables stand
// out of a supply where its cables do not say (common practice, no source).
const CustomarySupplyPlugMM = 30.0

// Supply returns the boxes of a power supply: its envelope and the plugs in its
// outlets. A supply with captive cables, or without a word on its outlets, keeps a
// strip of the customary depth free behind its far face, half as wide and half as
// high as the supply.
func (s *Settings) Supply(p *v1.Part) (geometry.Solid, error) {
	u := p.GetSupply()
	out := geometry.Solid{Pieces: make([]geometry.Piece, 0, 1+len(u.GetOutlets()))}
	r := s.reader(p)
	width, height, length := u.WidthMm, u.HeightMm, u.LengthMm
	if form, err := standards.SupplyFormByToken(u.GetFormFactor()); err == nil {
		width, height = either(width, form.WidthMM), either(height, form.HeightMM)
		if !form.DepthVaries {
			length = either(length, form.DepthMM)
		}
	}
	x, y, z := r.length("supply.width_mm", width), r.length("supply.length_mm", length), r.length("supply.height_mm", height)
	if !r.own(&out) {
		body := r.piece(&out, "body", geometry.PurposeSolid, geometry.Vec{}, geometry.Vec{x, y, z})
		body.Deviations[geometry.MaxX] = r.spread("supply.width_mm", 1)
		body.Deviations[geometry.MaxY] = r.spread("supply.length_mm", 1)
		body.Deviations[geometry.MaxZ] = r.spread("supply.height_mm", 1)
	}
	placedOutlets := 0
	for _, outlet := range u.GetOutlets() {
		if !placed(outlet.At) {
			continue
		}
		faces := FaceOf(outlet.GetFaces())
		if faces == geometry.NoFace {
			faces = geometry.MaxY
		}
		along := geometry.X
		if faces.Axis() == geometry.X {
			along = geometry.Y
		}
		placedOutlets++
		r.addPlug(&out, fmt.Sprintf("plug-%d", placedOutlets), "", PointOf(outlet.At), faces, along, outletPlug(u, outlet.GetSocket()))
	}
	if placedOutlets == 0 {
		r.piece(&out, "cables", geometry.PurposePlug,
			geometry.Vec{x / 4, y, z / 4}, geometry.Vec{3 * x / 4, y + CustomarySupplyPlugMM, 3 * z / 4})
	}
	return out, r.done()
}

func either(stated *float64, form float64) *float64 {
	if stated != nil {
		return stated
	}
	return &form
}

// outletPlug is how far the longest plug for a socket of the supply stands out.
func outletPlug(u *v1.Supply, socket string) float64 {
	longest := 0.0
	for _, c := range u.GetCables() {
		if c.GetFrom() == socket {
			longest = max(longest, c.GetPlugMm())
		}
	}
	if longest == 0 {
		return CustomarySupplyPlugMM
	}
	return longest
}
