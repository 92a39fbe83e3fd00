package mounting

import (
	"errors"
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
	"slipfit.example/rules/standards"
)

// pattern is the holes of a part, or of its mount, in the part's frame, and where
// the document lists them.
type pattern struct {
	holes  []fastening.Hole
	field  string // "board.holes" or "holes"; "" where a standard gives them
	needed int    // how many make it whole, 0 for all
}

// patternOf is the pattern of a part by its own holes, else by its form factor or
// size. ok is false where neither is known, or the part is of a kind that has none
// here.
func patternOf(it *kit.Item) (p pattern, ok bool) {
	from, has := screwedFrom[it.Kind]
	if !has {
		return p, false
	}
	switch board := it.Part.GetBoard(); {
	case len(it.Part.Holes) > 0:
		p.holes, p.field = holesFrom(it.Part.Holes, from), "holes"
	case len(board.GetHoles()) > 0:
		p.holes, p.field = holesFrom(board.Holes, from), "board.holes"
	default:
		if it.Kind == kit.KindSupply {
			p.needed = supplyScrews
		}
		p.holes = tabled(it)
		return p, len(p.holes) > 0
	}
	return p, true
}

// screwedFrom is the side that the screws of a kind of part come from, in its own
// frame.
var screwedFrom = map[kit.Kind]geometry.Face{
	kit.KindBoard: geometry.MaxZ, kit.KindSupply: geometry.MinY, kit.KindFan: geometry.MinZ, kit.KindRadiator: geometry.MinZ,
	kit.KindLiquidLoop: geometry.MinZ, kit.KindDrive: geometry.MinZ,
}

// Patterns of the form factors and sizes that the standards have, made once. They are
// not to be changed.
var (
	boardPatterns  = patternsOf(standards.Boards(), func(b standards.Board) string { return b.Token }, fastening.BoardPattern)
	supplyPatterns = patternsOf(standards.SupplyForms(), func(f standards.SupplyForm) string { return f.Token }, fastening.SupplyPattern)
	drivePatterns  = patternsOf(standards.DriveForms(), func(f standards.DriveForm) string { return f.Token }, fastening.DrivePattern)
	fanPatterns    = patternsOf(standards.FanSizes(), func(f standards.FanSize) int { return f.NominalMM },
		func(size int) ([]fastening.Hole, error) { return fastening.FanPattern(size, 0) })
)

func patternsOf[T any, K comparable](rows []T, key func(T) K, pattern func(K) ([]fastening.Hole, error)) map[K][]fastening.Hole {
	out := map[K][]fastening.Hole{}
	for _, row := range rows {
		if holes, err := pattern(key(row)); err == nil {
			out[key(row)] = holes
		}
	}
	return out
}

// tabled is the pattern of a part's form factor or size; none where it is in no table.
func tabled(it *kit.Item) []fastening.Hole {
	switch it.Kind {
	case kit.KindBoard:
		return boardPatterns[it.Part.GetBoard().GetFormFactor()]
	case kit.KindSupply:
		return supplyPatterns[it.Part.GetSupply().GetFormFactor()]
	case kit.KindFan:
		return fanHoles(it.Part.GetFan())
	case kit.KindDrive:
		return drivePatterns[it.Part.GetDrive().GetFormFactor()]
	default:
		return radiatorHoles(radiatorOf(it))
	}
}

// fanHoles is the pattern of a fan, by its own pitch or its size.
func fanHoles(fan *v1.Fan) []fastening.Hole {
	if fan.GetHolePitchMm() == 0 {
		return fanPatterns[int(fan.GetSizeMm())]
	}
	holes, err := fastening.FanPattern(int(fan.GetSizeMm()), fan.GetHolePitchMm())
	if err != nil {
		return nil
	}
	return holes
}

// radiatorOf is the radiator that an item is or has, nil for none.
func radiatorOf(it *kit.Item) *v1.Radiator {
	if loop := it.Part.GetLiquidLoop(); loop != nil {
		return loop.Radiator
	}
	return it.Part.GetRadiator()
}

// radiatorHoles is the pattern of a radiator: its row of fans lies in the middle of
// it, both ways.
func radiatorHoles(r *v1.Radiator) []fastening.Hole {
	holes, err := fastening.RadiatorPattern(int(r.GetNominalMm()))
	if err != nil {
		return nil
	}
	size, fans, err := standards.RadiatorFans(int(r.GetNominalMm()))
	if err != nil {
		return nil
	}
	var start geometry.Vec
	if r.LengthMm != nil {
		start[geometry.X] = (r.GetLengthMm() - float64(size*fans)) / 2
	}
	if r.WidthMm != nil {
		start[geometry.Y] = (r.GetWidthMm() - float64(size)) / 2
	}
	return moved(holes, start)
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
	size := geometry.Vec{1, 1, 1}
	set := func(axis geometry.Axis, mm *float64) {
		if size[axis] = 0; mm != nil {
			size[axis] = *mm
		}
	}
	switch it.Kind {
	case kit.KindBoard:
		set(geometry.X, it.Part.GetBoard().WidthMm)
		set(geometry.Y, it.Part.GetBoard().DepthMm)
	case kit.KindSupply:
		set(geometry.X, it.Part.GetSupply().WidthMm)
		set(geometry.Z, it.Part.GetSupply().HeightMm)
	case kit.KindFan:
		size[geometry.X], size[geometry.Y] = float64(it.Part.GetFan().GetSizeMm()), float64(it.Part.GetFan().GetSizeMm())
	case kit.KindRadiator, kit.KindLiquidLoop:
		if r := radiatorOf(it); r != nil {
			set(geometry.X, r.LengthMm)
			set(geometry.Y, r.WidthMm)
		}
	case kit.KindDrive:
		form, err := standards.DriveFormByToken(it.Part.GetDrive().GetFormFactor())
		if err != nil {
			return face, false
		}
		size[geometry.X], size[geometry.Y] = form.LengthMM, form.WidthMM
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
