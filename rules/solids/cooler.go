package solids

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/standards"
)

// blockEdgeMM is the edge of a loop's block with its pump (from memory, no source).
const blockEdgeMM = 75.0

// Cooler returns the boxes of an air cooler: a foot on the lid and what stands on
// it. The air of a tower runs away from the rear edge unless turned, so that its
// depth lies along Y and its width along X. over is the height above the board's
// top of the lid, from which the height that stays free for memory is counted.
func (s *Settings) Cooler(p *v1.Part, over float64, turned bool) (geometry.Solid, error) {
	c := p.GetAirCooler()
	out := geometry.Solid{Pieces: make([]geometry.Piece, 0, 2)}
	r := s.reader(p)
	if r.own(&out) {
		return out, r.done()
	}
	height := r.length("air_cooler.height_mm", c.HeightMm)
	x, y := r.length("air_cooler.width_mm", c.WidthMm)/2, r.length("air_cooler.depth_mm", c.DepthMm)/2
	alongX, alongY := "air_cooler.width_mm", "air_cooler.depth_mm"
	if turned {
		x, y, alongX, alongY = y, x, alongY, alongX
	}
	from := 0.0
	if free := r.or("air_cooler.memory_clearance_mm", c.MemoryClearanceMm, finsAboveBoardMM(c)); free > over && free-over < height {
		from = free - over
		half := min(SocketKeepMM/2, x, y)
		r.piece(&out, "foot", geometry.PurposeSolid, geometry.Vec{-half, -half, 0}, geometry.Vec{half, half, from})
	}
	fins := r.piece(&out, "fins", geometry.PurposeSolid, geometry.Vec{-x, -y, from}, geometry.Vec{x, y, height})
	r.centred(fins, geometry.X, alongX)
	r.centred(fins, geometry.Y, alongY)
	fins.Deviations[geometry.MaxZ] = r.spread("air_cooler.height_mm", 1)
	return out, r.done()
}

// finsAboveBoardMM is how high above the board the fins of a cooler begin that does
// not say: those of a tower clear the parts round the socket, about 40 mm (from
// memory, no source); others are taken to fill all below them.
func finsAboveBoardMM(c *v1.AirCooler) float64 {
	if c.GetTower() {
		return 40
	}
	return 0
}

// Block returns the box of a loop's block and pump on the lid.
func (s *Settings) Block(p *v1.Part) (geometry.Solid, error) {
	var out geometry.Solid
	r := s.reader(p)
	height := r.length("liquid_loop.block_height_mm", p.GetLiquidLoop().BlockHeightMm)
	const half = blockEdgeMM / 2
	block := r.piece(&out, "block", geometry.PurposeSolid, geometry.Vec{-half, -half, 0}, geometry.Vec{half, half, height})
	block.Deviations[geometry.MaxZ] = r.spread("liquid_loop.block_height_mm", 1)
	return out, r.done()
}

// LidAboveBoard is the height of the processor's lid above the board's top; the
// part's frame counts from the underside.
func LidAboveBoard(board *v1.Part) float64 {
	return board.GetBoard().GetSocketCentre().GetZMm() - standards.BoardThickness.Value
}
