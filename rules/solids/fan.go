package solids

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
)

// Fan returns the box of a fan's frame, in the frame of the row that it starts.
func (s *Settings) Fan(p *v1.Part) (geometry.Solid, error) {
	f := p.GetFan()
	var out geometry.Solid
	r := s.reader(p)
	if r.own(&out) {
		return out, r.done()
	}
	if f.SizeMm == nil {
		r.missing = append(r.missing, "fan.size_mm")
	}
	size, thick := float64(f.GetSizeMm()), r.length("fan.thickness_mm", f.ThicknessMm)
	frame := r.piece(&out, "frame", geometry.PurposeSolid, geometry.Vec{}, geometry.Vec{size, size, thick})
	frame.Deviations[geometry.MaxZ] = r.spread("fan.thickness_mm", 1)
	return out, r.done()
}

// Row is the fans on a radiator: so many of one size and thickness.
type Row struct {
	Fans        int
	SizeMM      float64
	ThicknessMM float64
}

// Stack says how a radiator lies on its plate.
type Stack struct {
	// FansOutside puts the fans between the plate and the radiator.
	FansOutside bool
	// FittingsFirst puts the fittings at the end where the row starts.
	FittingsFirst bool
}

// Radiator returns the boxes of a radiator, or of a loop's, with its fans: core
// with tanks, row of fans, and the room of fittings and hose bend at one end. The
// row of fans lies in the middle of the core, both ways.
func (s *Settings) Radiator(p *v1.Part, fans []Row, stack Stack) (geometry.Solid, error) {
	d, path := p.GetRadiator(), "radiator."
	if loop := p.GetLiquidLoop(); loop != nil {
		d, path = loop.GetRadiator(), "liquid_loop.radiator."
	}
	out := geometry.Solid{Pieces: make([]geometry.Piece, 0, 2+len(fans))}
	r := s.reader(p)
	if p.GetLiquidLoop() == nil && r.own(&out) {
		return out, r.done()
	}
	if d == nil {
		r.missing = append(r.missing, path[:len(path)-1])
		return out, r.done()
	}
	length, width := r.length(path+"length_mm", d.LengthMm), r.length(path+"width_mm", d.WidthMm)
	thick := r.length(path+"thickness_mm", d.ThicknessMm)
	layers := 0.0
	for _, row := range fans {
		layers += row.ThicknessMM
	}
	low := 0.0
	if stack.FansOutside {
		low = layers
	}
	core := r.piece(&out, "core", geometry.PurposeSolid, geometry.Vec{0, 0, low}, geometry.Vec{length, width, low + thick})
	r.centred(core, geometry.X, path+"length_mm")
	r.centred(core, geometry.Y, path+"width_mm")
	core.Deviations[geometry.MaxZ] = r.spread(path+"thickness_mm", 1)
	at := low + thick
	if stack.FansOutside {
		at = 0
	}
	for i, row := range fans {
		long := float64(row.Fans) * row.SizeMM
		fan := r.piece(&out, fmt.Sprintf("fans-%d", i+1), geometry.PurposeSolid,
			geometry.Vec{(length - long) / 2, (width - row.SizeMM) / 2, at},
			geometry.Vec{(length + long) / 2, (width + row.SizeMM) / 2, at + row.ThicknessMM})
		fan.Deviations[geometry.MaxZ] = core.Deviations[geometry.MaxZ]
		at += row.ThicknessMM
	}
	if room := fittingRoom(d); room > 0 {
		from := length
		if stack.FittingsFirst {
			from = -room
		}
		r.piece(&out, "fittings", geometry.PurposePlug,
			geometry.Vec{from, width / 4, low + thick/4}, geometry.Vec{from + room, 3 * width / 4, low + 3*thick/4})
	}
	return out, r.done()
}
