package mounting

import (
	"errors"
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
)

// pattern is the holes of a part, or of its mount, in the part's frame, and where
// the document lists them.
type pattern struct {
	holes  []fastening.Hole
	field  string // "board.holes" or "holes"; "" where a standard gives them
	needed int    // how many make it whole, 0 for all
}

// patternOf is the pattern of a part by its own holes, else by its form factor.
// ok is false where neither is known, or the part is of a kind that has none here.
func patternOf(it *kit.Item) (p pattern, ok bool) {
	from := geometry.MaxZ
	if it.Kind == kit.KindSupply {
		from, p.needed = geometry.MinY, supplyScrews
	}
	board := it.Part.GetBoard()
	switch {
	case len(it.Part.Holes) > 0:
		p.holes, p.field = holesFrom(it.Part.Holes, from), "holes"
	case len(board.GetHoles()) > 0:
		p.holes, p.field = holesFrom(board.Holes, from), "board.holes"
	}
	if p.field != "" {
		p.needed = 0
		return p, it.Kind == kit.KindBoard || it.Kind == kit.KindSupply
	}
	var err error
	switch it.Kind {
	case kit.KindBoard:
		p.holes, err = fastening.BoardPattern(board.GetFormFactor())
	case kit.KindSupply:
		p.holes, err = fastening.SupplyPattern(it.Part.GetSupply().GetFormFactor())
	default:
		return p, false
	}
	return p, err == nil && len(p.holes) > 0
}

func holesFrom(list []*v1.Hole, from geometry.Face) []fastening.Hole {
	out := make([]fastening.Hole, len(list))
	for i, h := range list {
		out[i] = fastening.Hole{
			ID: h.GetId(), At: solids.PointOf(h.GetCentre()), From: from, Thread: h.GetThread(), DiameterMM: h.GetDiameterMm(),
		}
	}
	return out
}

// faceOf is the face of a part that its holes lie on, as a box, where its size is
// known.
func faceOf(it *kit.Item) (face geometry.Box, ok bool) {
	var size geometry.Vec
	switch {
	case it.Kind == kit.KindBoard && it.Part.GetBoard().WidthMm != nil && it.Part.GetBoard().DepthMm != nil:
		size = geometry.Vec{it.Part.GetBoard().GetWidthMm(), it.Part.GetBoard().GetDepthMm(), 1}
	case it.Kind == kit.KindSupply && it.Part.GetSupply().WidthMm != nil && it.Part.GetSupply().HeightMm != nil:
		size = geometry.Vec{it.Part.GetSupply().GetWidthMm(), 1, it.Part.GetSupply().GetHeightMm()}
	default:
		return face, false
	}
	face, err := geometry.NewBoxAt(geometry.Vec{}, size)
	return face, err == nil
}

// flawOf is the path of a hole that cannot be: there twice, nowhere, or off the
// part.
func (p *pattern) flawOf(it *kit.Item) (path kit.Path, flawed bool) {
	if p.field == "" {
		return path, false
	}
	at := func(i int) kit.Path { return it.At(p.field + "[" + strconv.Itoa(i) + "].centre") }
	if err := fastening.CheckPattern(p.holes); err != nil {
		return at(placeOf(err)), true
	}
	if face, ok := faceOf(it); ok {
		if off := fastening.Outside(p.holes, face); len(off) > 0 {
			return at(off[0]), true
		}
	}
	return path, false
}

// placeOf is which hole an error is about.
func placeOf(err error) int {
	var twice *fastening.DuplicateError
	if errors.As(err, &twice) {
		return twice.Second
	}
	return 0
}

// mountPath is the path of a hole of a mount of the layout.
func (s *scene) mountPath(mount *v1.Mount, hole int) kit.Path {
	for l, layout := range s.chassis.Part.GetChassis().GetLayouts() {
		if layout != s.layout {
			continue
		}
		for m := range layout.Mounts {
			if layout.Mounts[m] == mount {
				return s.chassis.At("chassis.layouts[" + strconv.Itoa(l) + "].mounts[" + strconv.Itoa(m) + "].holes[" + strconv.Itoa(hole) + "].centre")
			}
		}
	}
	return s.chassis.At("chassis.layouts")
}
