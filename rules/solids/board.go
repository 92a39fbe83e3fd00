package solids

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/standards"
)

// Depth of the rear connectors from the board's rear edge, and the pitch and the
// thickness of memory modules in neighbouring sockets: from memory, no source.
const (
	rearConnectorDepthMM = 25.0
	memoryPitchMM        = 9.4
	memoryModuleMM       = 8.0
)

// CardSeatMM is how far the lower edge of a card's contacts lies above the
// board's top: the connector's height of 11.25 mm less what the edge goes in
// (from memory, no source).
const CardSeatMM = 3.0

// SocketKeepMM is the edge of the square round a processor socket in which the
// foot of a cooler stands (from memory, no source).
const SocketKeepMM = 40.0

// Board returns the boxes of a bare board: its circuit board, its rear connectors
// and the plugs on its power sockets. Width and depth may come from the form
// factor's standard.
func (s *Settings) Board(p *v1.Part) (geometry.Solid, error) {
	b := p.GetBoard()
	out := geometry.Solid{Pieces: make([]geometry.Piece, 0, 2+len(b.GetPowerSockets()))}
	r := s.reader(p)
	width, depth := r.outline(b)
	if !r.own(&out) {
		r.circuitBoard(&out, b, width, depth)
	}
	for i, socket := range b.GetPowerSockets() {
		if !placed(socket.At) {
			continue
		}
		plug, at := s.plug(socket.GetConnector()), PointOf(socket.At)
		r.addPlug(&out, fmt.Sprintf("plug-%d", i+1), socket.GetConnector(), at, facing(socket, geometry.MaxZ), nearerEdge(at, width, depth), plug.LengthMM)
	}
	return out, r.done()
}

func facing(s *v1.PowerSocket, otherwise geometry.Face) geometry.Face {
	if f := FaceOf(s.GetFaces()); f != geometry.NoFace {
		return f
	}
	return otherwise
}

// nearerEdge is the axis of the board's edge that a socket lies nearest to: long
// sockets lie along it (common practice, no source).
func nearerEdge(at geometry.Vec, width, depth float64) geometry.Axis {
	if min(at[0], width-at[0]) < min(at[1], depth-at[1]) {
		return geometry.Y
	}
	return geometry.X
}

// outline is the board's width and depth.
func (r *reader) outline(b *v1.Board) (width, depth float64) {
	form, err := standards.BoardByToken(b.GetFormFactor())
	if err != nil {
		return r.length("board.width_mm", b.WidthMm), r.length("board.depth_mm", b.DepthMm)
	}
	return r.or("board.width_mm", b.WidthMm, form.WidthMM), r.or("board.depth_mm", b.DepthMm, form.DepthMM)
}

func (r *reader) circuitBoard(out *geometry.Solid, b *v1.Board, width, depth float64) {
	top := standards.BoardThickness.Value
	pcb := r.piece(out, "circuit-board", geometry.PurposeSolid, geometry.Vec{}, geometry.Vec{width, depth, top})
	pcb.Deviations[geometry.MaxX] = r.spread("board.width_mm", 1)
	pcb.Deviations[geometry.MaxY] = r.spread("board.depth_mm", 1)
	if _, err := standards.BoardByToken(b.GetFormFactor()); err != nil {
		return // the rear connectors of an unknown form factor are not known
	}
	middle := (standards.ApertureFarEndX.Value + standards.ApertureSlotEndX.Value) / 2
	half := standards.ConnectorZoneWidth.Value / 2
	r.piece(out, "rear-connectors", geometry.PurposeSolid,
		geometry.Vec{middle - half, -standards.ConnectorFacePastEdge.Value, top},
		geometry.Vec{middle + half, rearConnectorDepthMM, top + standards.ConnectorZoneHeight.Value})
}

// Memory returns the boxes of upright modules in a board's frame: one box over
// all sockets, since which of them are filled is not told. Where the board does
// not say where its sockets lie there is no box and no error: nothing can be said.
func (s *Settings) Memory(board, memory *v1.Part) (geometry.Solid, error) {
	b, m := board.GetBoard(), memory.GetMemory()
	var out geometry.Solid
	r := s.reader(memory)
	if r.own(&out) || b.SocketCentre == nil || b.GetMemory().DistanceMm == nil || liesFlat(m.GetModule()) {
		return out, r.done()
	}
	height := r.length("memory.height_mm", m.HeightMm)
	length := 133.35 // of the usual modules; the kind's own where it is tabled
	if kind, err := standards.MemoryKindByToken(m.GetKind() + "-" + m.GetModule()); err == nil {
		length = kind.LengthMM
	}
	at, top := PointOf(b.SocketCentre), standards.BoardThickness.Value
	near := at[1] + *b.Memory.DistanceMm - memoryModuleMM/2
	far := near + memoryModuleMM + float64(max(1, b.Memory.GetSockets())-1)*memoryPitchMM
	modules := r.piece(&out, "modules", geometry.PurposeSolid,
		geometry.Vec{at[0] - length/2, near, top}, geometry.Vec{at[0] + length/2, far, top + standards.ModuleSeat.Value + height})
	modules.Deviations[geometry.MaxZ] = r.spread("memory.height_mm", 1)
	return out, r.done()
}

// liesFlat reports whether modules of a kind lie along the board.
func liesFlat(module string) bool { return module == "sodimm" || module == "camm2" }

// SlotFrame is where the frame of a card in a board's slot lies in the board's
// frame: position 1 is the slot nearest the processor. It returns an error for a
// position that boards do not have.
func SlotFrame(position int) (geometry.Pose, error) {
	x, err := standards.SlotCentreXMM(position)
	if err != nil {
		return geometry.Pose{}, err
	}
	return geometry.NewPose(geometry.Rotation{}, geometry.Vec{
		x - standards.SolderSideHeight.Value, -standards.RearWallPastEdge.Value, standards.BoardThickness.Value + CardSeatMM,
	})
}

// LidFrame is where the frame of a cooler lies in the board's frame, and how far
// the board's figure may be off; false where the board does not say.
func (s *Settings) LidFrame(board *v1.Part) (at geometry.Pose, off float64, known bool) {
	centre := board.GetBoard().SocketCentre
	if centre == nil {
		return geometry.Pose{}, 0, false
	}
	r := s.reader(board)
	minus, plus := r.off("board.socket_centre")
	pose, err := geometry.NewPose(geometry.Rotation{}, PointOf(centre))
	return pose, max(minus, plus), err == nil
}

// BackDrive returns the box of an M.2 drive on a board's back, in the board's
// frame. Where on the back the socket lies is not told, and between tray and board
// it does not matter: the box lies in the middle.
func (s *Settings) BackDrive(board, drive *v1.Part) (geometry.Solid, error) {
	var out geometry.Solid
	r := s.reader(drive)
	width, depth := r.outline(board.GetBoard())
	size, err := standards.ParseM2Size(drive.GetDrive().GetM2Size())
	if err != nil {
		return out, fmt.Errorf("solids: %w", err)
	}
	height := r.length("drive.height_mm", drive.GetDrive().HeightMm)
	x, y := float64(size.WidthMM)/2, float64(size.LengthMM)/2
	module := r.piece(&out, "module", geometry.PurposeSolid,
		geometry.Vec{width/2 - x, depth/2 - y, -height}, geometry.Vec{width/2 + x, depth/2 + y, 0})
	module.Deviations[geometry.MinZ] = r.spread("drive.height_mm", 1).Reversed()
	return out, r.done()
}
