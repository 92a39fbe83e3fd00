package clearance

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/route"
	"slipfit.example/rules/solids"
	"slipfit.example/rules/standards"
)

func digits(n int) string { return strconv.Itoa(n) }

// poseOfSeat is where one piece of an item lies in an arrangement.
func poseOfSeat(a *v1.Arrangement, item string, piece int) (pose geometry.Pose, seat *v1.Seat) {
	for _, s := range a.GetSeats() {
		if s.GetItem() != item {
			continue
		}
		if n := countOf(s.Count); piece >= n {
			piece -= n
			continue
		}
		if s.Placed == nil {
			return pose, nil
		}
		pose, err := solids.PoseOf(s.Placed)
		if err != nil {
			return pose, nil
		}
		return pose, s
	}
	return pose, nil
}

// place finds both ends of a run in the enclosure.
func (r *run) place(c *kit.Case, a *v1.Arrangement) {
	start, from := poseOfSeat(a, r.supply.ID, 0)
	end, to := poseOfSeat(a, r.to.ID, r.piece)
	if from == nil || to == nil {
		return // the rules of the arrangement tell why it has no place
	}
	first, known := r.outlet(c)
	second, settled := r.plugPlace(c)
	if !known || !settled {
		return
	}
	r.from, r.end, r.placed = terminalAt(start, first), terminalAt(end, second), true
	r.from.Straight, r.end.Straight = r.plug(), r.plug()
}

// plug is how far the cable runs straight out of its socket: the plug, and half
// the cable's thickness so that it may turn.
func (r *run) plug() float64 {
	if wire := r.wire(); wire != nil && wire.PlugMm != nil {
		return wire.GetPlugMm() + r.thickness()/2
	}
	return solids.CustomaryPlug(r.socket.GetConnector()).LengthMM + r.thickness()/2
}

// mouth is an outlet or a socket in the frame of its part.
type mouth struct {
	at    geometry.Vec
	faces geometry.Face
}

func terminalAt(pose geometry.Pose, m mouth) route.Terminal {
	return route.Terminal{At: pose.Point(m.at), Exit: pose.Rotation().Face(m.faces)}
}

// outlet is where the cable leaves the supply: its outlet, else the middle of the
// side opposite the inlet.
func (r *run) outlet(c *kit.Case) (m mouth, known bool) {
	part := r.supply.Part.GetSupply()
	for _, o := range part.GetOutlets() {
		if o.At == nil || r.cable != nil && !r.cable.GetCaptive() && o.GetSocket() != r.cable.GetFrom() {
			continue
		}
		m = mouth{solids.PointOf(o.At), solids.FaceOf(o.GetFaces())}
		if m.faces == geometry.NoFace {
			m.faces = geometry.MaxY
		}
		return m, true
	}
	r.assumed = true
	width, height := part.GetWidthMm(), part.GetHeightMm()
	length := part.LengthMm
	if form, err := standards.SupplyFormByToken(part.GetFormFactor()); err == nil {
		if width == 0 {
			width = form.WidthMM
		}
		if height == 0 {
			height = form.HeightMM
		}
	}
	if length == nil {
		r.missing = append(r.missing, c.Absent(r.supply.At("supply.length_mm"), "mm"))
		return m, false
	}
	return mouth{geometry.Vec{width / 2, *length, height / 2}, geometry.MaxY}, true
}

// plugPlace is where the socket lies on its part: where the document says, else
// where it usually is.
func (r *run) plugPlace(c *kit.Case) (m mouth, known bool) {
	if r.socket.At != nil {
		m = mouth{solids.PointOf(r.socket.At), solids.FaceOf(r.socket.GetFaces())}
		if m.faces == geometry.NoFace {
			m.faces = geometry.MaxZ
		}
		return m, true
	}
	r.assumed = true
	switch r.to.Kind {
	case kit.KindBoard:
		m, known = customaryOnBoard(r.to.Part.GetBoard(), r.socket.GetConnector())
	case kit.KindCard:
		m, known = customaryOnCard(r.to.Part.GetCard())
	case kit.KindDrive:
		m, known = customaryOnDrive(r.to.Part.GetDrive())
	}
	if !known {
		r.missing = append(r.missing, c.Absent(r.to.At(r.sockets+"["+digits(r.nth)+"].at"), "mm"))
	}
	return m, known
}

// socketHeight is how high the mouth of a socket lies above a board's underside
// in mm (from memory, no source).
const socketHeight = 14

// customaryOnBoard is where boards have their power sockets: the processor's near
// the corner of rear edge and rear connectors, the main one at the edge opposite
// the rear (common practice, no source).
func customaryOnBoard(board *v1.Board, connector string) (m mouth, known bool) {
	width, depth, known := outlineOf(board)
	if !known {
		return m, false
	}
	switch connector {
	case standards.ConnectorMain24, standards.ConnectorMain20And4:
		return mouth{geometry.Vec{width * 0.35, depth - 7, socketHeight}, geometry.MaxZ}, true
	case standards.ConnectorCPU8, standards.ConnectorCPU4:
		return mouth{geometry.Vec{10, min(50, depth/2), socketHeight}, geometry.MaxZ}, true
	}
	return m, false
}

// outlineOf is a board's width and depth, from its form factor where it does not say.
func outlineOf(board *v1.Board) (width, depth float64, known bool) {
	width, depth = board.GetWidthMm(), board.GetDepthMm()
	if form, err := standards.BoardByToken(board.GetFormFactor()); err == nil {
		if width == 0 {
			width = form.WidthMM
		}
		if depth == 0 {
			depth = form.DepthMM
		}
	}
	return width, depth, width > 0 && depth > 0
}

// customaryOnCard is where cards have their power sockets: on the long edge away
// from the slot, two thirds along (common practice, no source).
func customaryOnCard(card *v1.Card) (m mouth, known bool) {
	if card.LengthMm == nil || card.HeightMm == nil {
		return m, false
	}
	return mouth{geometry.Vec{12, card.GetLengthMm() * 2 / 3, card.GetHeightMm()}, geometry.MaxZ}, true
}

// customaryOnDrive is where drives have their power sockets: in the middle of the
// short side at the end of their length (SFF-8201, SFF-8301; which of the two
// sides points where is the mount's).
func customaryOnDrive(drive *v1.Drive) (m mouth, known bool) {
	for _, form := range solids.DriveForms {
		if form.Token != drive.GetFormFactor() {
			continue
		}
		height := form.HeightMM
		if drive.HeightMm != nil {
			height = drive.GetHeightMm()
		}
		return mouth{geometry.Vec{form.LengthMM, form.WidthMM / 2, height / 2}, geometry.MaxX}, true
	}
	return m, false
}
