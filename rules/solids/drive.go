package solids

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/standards"
)

// DriveForm is the outline of a drive that lies in a bay.
type DriveForm struct {
	Token             string
	LengthMM, WidthMM float64
	HeightMM          float64 // the tallest that the form factor names
}

// DriveForms are the outlines of drives: SFF-8201 and SFF-8301 (from memory).
var DriveForms = []DriveForm{
	{"2.5-inch", 100.45, 69.85, 15},
	{"3.5-inch", 147, 101.6, 26.1},
}

// Drive returns the box of a drive in a bay and of the plugs behind its end.
func (s *Settings) Drive(p *v1.Part) (geometry.Solid, error) {
	d := p.GetDrive()
	var out geometry.Solid
	r := s.reader(p)
	if r.own(&out) {
		return out, r.done()
	}
	for _, form := range DriveForms {
		if form.Token != d.GetFormFactor() {
			continue
		}
		height := r.length("drive.height_mm", d.HeightMm)
		body := r.piece(&out, "body", geometry.PurposeSolid, geometry.Vec{}, geometry.Vec{form.LengthMM, form.WidthMM, height})
		body.Deviations[geometry.MaxZ] = r.spread("drive.height_mm", 1)
		return out, r.done()
	}
	r.missing = append(r.missing, "drive.form_factor")
	return out, r.done()
}

// fittingRoom is what fittings and hose bend need at one end of a radiator.
func fittingRoom(d *v1.Radiator) float64 {
	if d.FittingMm != nil {
		return *d.FittingMm
	}
	return standards.RadiatorFittingClearance.Value
}
