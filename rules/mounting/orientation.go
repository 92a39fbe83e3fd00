package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
)

// poseOf is where an item's frame lies: as the arrangement placed it, else the
// pose of its mount. known is false without either.
func (s *scene) poseOf(it *kit.Item) (pose geometry.Pose, known bool) {
	for _, seat := range s.fact.Seats {
		if seat.GetItem() != it.ID {
			continue
		}
		placed := seat.GetPlaced()
		if placed == nil {
			if poses := s.mount(seat.GetMount()).GetPoses(); int(seat.GetPose()) < len(poses) {
				placed = poses[seat.GetPose()]
			}
		}
		if placed != nil {
			pose, err := solids.PoseOf(placed)
			return pose, err == nil
		}
	}
	return pose, false
}

// boardPose is where the board's frame lies.
func (s *scene) boardPose(board *kit.Item) (geometry.Pose, bool) {
	if pose, known := s.poseOf(board); known {
		return pose, true
	}
	if poses := s.boardMount(board).GetPoses(); len(poses) > 0 {
		pose, err := solids.PoseOf(poses[0])
		return pose, err == nil
	}
	return geometry.Pose{}, false
}

// upright reports whether the board stands, so that what it carries pulls on it
// sideways. Without a pose it is taken to: that is the usual and the worse case.
func (s *scene) upright(board *kit.Item) bool {
	pose, known := s.boardPose(board)
	return !known || pose.Rotation().Face(geometry.MaxZ).Axis() != geometry.Z
}

// cardLies reports whether a card lies flat in the room and hangs out freely from
// its bracket. A card in a board's slot lies flat where the board's rear edge
// stands; a card on a mount of its own says so by its pose. Without a pose it is
// taken to lie, which is the usual and the worse case.
func (s *scene) cardLies(card *kit.Item) bool {
	across := geometry.MaxX // the card's thickness runs along the board's rear edge
	if pose, known := s.poseOf(card); known {
		return pose.Rotation().Face(across).Axis() == geometry.Z
	}
	if board := s.c.First(kit.KindBoard); board != nil {
		if pose, known := s.boardPose(board); known {
			return pose.Rotation().Face(across).Axis() == geometry.Z
		}
	}
	return true
}

// newtonPerGram is the weight of a gram: standard gravity 9.80665 m/s2 (ISO
// 80000-3), in N.
const newtonPerGram = 9.80665e-3

// centreAlong is how far a part's centre of mass lies along one of its own axes: as
// the part says, else in the middle of an extent.
func centreAlong(part *v1.Part, axis geometry.Axis, middle float64) float64 {
	at := part.GetCentreOfMass()
	if at == nil {
		return middle
	}
	if stated := [...]*float64{at.XMm, at.YMm, at.ZMm}[axis]; stated != nil {
		return *stated
	}
	return middle
}
