package clearance

import (
	"errors"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/solids"
)

// leaveOut tells that nothing takes an item. A layout that describes no mount of
// its kind says nothing about it.
func (s *scene) leaveOut(item int, reason string) {
	l := s.lack(item, reason, nil)
	l.out = len(l.missing) == 0 && len(s.shape.mountsOf(kindOfMount(s.items[item].part))) > 0
}

// kindOfMount is the kind of mount that a part goes on.
func kindOfMount(p *v1.Part) v1.MountKind {
	switch p.GetKind().(type) {
	case *v1.Part_Board:
		return v1.MountKind_MOUNT_KIND_BOARD
	case *v1.Part_Supply:
		return v1.MountKind_MOUNT_KIND_SUPPLY
	case *v1.Part_Card:
		return v1.MountKind_MOUNT_KIND_CARD
	case *v1.Part_Fan:
		return v1.MountKind_MOUNT_KIND_FAN
	case *v1.Part_Radiator, *v1.Part_LiquidLoop:
		return v1.MountKind_MOUNT_KIND_RADIATOR
	case *v1.Part_Drive:
		return v1.MountKind_MOUNT_KIND_DRIVE
	default:
		return v1.MountKind_MOUNT_KIND_UNSPECIFIED
	}
}

// left are the items that nothing takes.
func (s *scene) left() (out []lack) {
	for _, l := range s.lacks {
		if l.out {
			out = append(out, l)
		}
	}
	return out
}

// lack tells once that an item has no place.
func (s *scene) lack(item int, reason string, err error) *lack {
	for i := range s.lacks {
		if s.lacks[i].item == item {
			return &s.lacks[i]
		}
	}
	l := lack{item: item, reason: reason}
	var missing *solids.MissingError
	if errors.As(err, &missing) {
		l.missing = missing.Fields
	} else if err != nil {
		l.reason = err.Error()
	}
	s.lacks = append(s.lacks, l)
	return &s.lacks[len(s.lacks)-1]
}
