package mounting

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
)

// What bounds tell a shortlist before anything is placed: which way parts will lie,
// wherever the arrangement puts them.

// cardWillLie reports whether a card lies, as cardLies has it, in every arrangement that
// the build may come to.
func (s *scene) cardWillLie(card *kit.Item) bool {
	return s.always(s.c.First(kit.KindBoard), card, func(r geometry.Rotation) bool { return r.Face(geometry.MaxX).Axis() == geometry.Z })
}

// boardWillStand reports whether the board is upright in every arrangement that the
// build may come to.
func (s *scene) boardWillStand(board *kit.Item) bool {
	return s.always(board, nil, func(r geometry.Rotation) bool { return r.Face(geometry.MaxZ).Axis() != geometry.Z })
}

// always reports whether something holds of every way that the board may be turned, in
// all layouts that the build leaves open, and a card on a mount of its own; a card in a
// slot of the board is turned as the board is. Without any pose nothing is turned, and
// it holds. Where the choices of the build fit no layout it is left open.
func (s *scene) always(board, card *kit.Item, holds func(geometry.Rotation) bool) bool {
	wanted, found := s.c.Build.GetArrangement().GetLayout(), false
	layouts := s.chassis.Part.GetChassis().GetLayouts()
	for _, l := range layouts {
		if wanted != "" && l.GetId() != wanted {
			continue
		}
		found = true
		first := true // of the mounts for boards: what is taken where the arrangement does not say
		for _, m := range l.GetMounts() {
			it := card
			switch m.GetKind() {
			case v1.MountKind_MOUNT_KIND_BOARD:
				it = board
			case v1.MountKind_MOUNT_KIND_CARD:
			default:
				continue
			}
			if it != nil && !s.holdsAt(it, m, it == board && first, holds) {
				return false
			}
			first = first && it != board
		}
	}
	return found || len(layouts) == 0
}

// holdsAt reports whether something holds of every pose of a mount that the build's
// choices leave to an item. fallback takes the mount's first pose whatever they say.
func (s *scene) holdsAt(it *kit.Item, m *v1.Mount, fallback bool, holds func(geometry.Rotation) bool) bool {
	for i, p := range m.GetPoses() {
		if !(fallback && i == 0) && !s.mayTake(it, m, i) {
			continue
		}
		if pose, err := solids.PoseOf(p); err != nil || !holds(pose.Rotation()) {
			return false
		}
	}
	return true
}

// mayTake reports whether the build's choices may leave a pose of a mount to an item.
func (s *scene) mayTake(it *kit.Item, m *v1.Mount, pose int) bool {
	chosen := false
	for _, p := range s.c.Build.GetArrangement().GetPlacements() {
		if p.GetItem() != it.ID {
			continue
		}
		chosen = true
		if (p.Mount == nil || p.GetMount() == m.GetId()) && (p.Pose == nil || int(p.GetPose()) == pose) {
			return true
		}
	}
	return !chosen || it.Count > 1
}

// foretell tells a shortlist of a finding that concerns the candidate: that what is
// measured stays below a limit, and is doubtful at worst where it does not.
func (s *scene) foretell(measured kit.Value, limit *kit.Parameter) {
	most := s.c.Parameter(limit).Nominal
	switch {
	case !measured.Known():
		if s.c.SoughtMisses(measured) {
			s.c.Unfit()
		}
	case most != 0:
		s.c.Ceiling((most - measured.Nominal) / math.Abs(most))
	}
}
