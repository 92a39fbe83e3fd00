package solids

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/standards"
)

// bracketGapMM is how far the body of a card stays from its bracket's inner face
// (from memory, no source).
const bracketGapMM = 1.0

// Card returns the boxes of a card: its body from the bracket on, and for each power
// socket its plug and, behind the plug, the bend of its cable. Sockets
// without a place sit in the upper edge at three quarters of the length (common
// practice, no source). The bracket lies in the wall and has no box.
func (s *Settings) Card(p *v1.Part) (geometry.Solid, error) {
	c := p.GetCard()
	out := geometry.Solid{Pieces: make([]geometry.Piece, 0, 1+2*len(c.GetPowerSockets()))}
	r := s.reader(p)
	length := r.length("card.length_mm", c.LengthMm)
	height := r.length("card.height_mm", c.HeightMm)
	thickness := c.ThicknessMm
	if width, err := standards.CardWidthBySlots(int(c.GetSlots())); thickness == nil && err == nil && c.Slots != nil {
		full := width.OpeningMM // a card may fill the slots that it takes
		thickness = &full
	}
	thick := r.length("card.thickness_mm", thickness)
	if !r.own(&out) {
		body := r.piece(&out, "body", geometry.PurposeSolid, geometry.Vec{0, bracketGapMM, 0}, geometry.Vec{thick, length, height})
		body.Deviations[geometry.MaxX] = r.spread("card.thickness_mm", 1)
		body.Deviations[geometry.MaxY] = r.spread("card.length_mm", 1)
		body.Deviations[geometry.MaxZ] = r.spread("card.height_mm", 1)
	}
	n := 0
	for _, socket := range c.GetPowerSockets() {
		at, faces := geometry.Vec{thick / 2, 0.75 * length, height}, facing(socket, geometry.MaxZ)
		if placed(socket.At) {
			at = PointOf(socket.At)
		}
		along := geometry.Y
		if faces.Axis() == geometry.Y {
			along = geometry.Z
		}
		room := s.plug(socket.GetConnector())
		for range max(1, socket.GetCount()) {
			n++
			r.addPlug(&out, fmt.Sprintf("plug-%d", n), socket.GetConnector(), at, faces, along, room.LengthMM)
			r.addPlug(&out, fmt.Sprintf("bend-%d", n), socket.GetConnector(), at.Add(faces.Normal().Scale(room.LengthMM)), faces, along, room.BendMM)
			long, _ := crossSection(socket.GetConnector())
			at[along] -= long // like sockets stand in a row, away from the far end
		}
	}
	return out, r.done()
}
