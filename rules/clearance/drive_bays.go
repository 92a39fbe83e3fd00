package clearance

import "slipfit.example/rules/kit"

var driveBaysRule = kit.Rule{
	ID: "clearance.drive-bays", Title: "A bay for each drive", Since: "0.1.0",
	Why: "A drive that does not sit on the board needs a bay of its form factor.",
	Formula: "Drives are sent to bays of their form factor so that the most of them find one, fixed choices kept. Margin is the number of drives with a bay " +
		"less their number; a bay that states a height must be as high as the drive.",
	Sources: []sourceOf{makersLimit},
	Reads: []string{
		"drive.form_factor", "drive.height_mm", "chassis.limits.drives", "chassis.layouts.limits.drives",
		"chassis.layouts.mounts.form_factors", "chassis.layouts.mounts.count",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "{wanted} of {drive} ({size}) go to {places}.",
		"high":     "{drive} is {height} high in the bay {places}, where only {free} are free.",
		"high-bay": "{drive} is {height} high in the bay {places}, where {free} are free: that is less to spare than the figures may be off.",
		"fail":     "{lacking} of {wanted} drives of {size} find no bay ({drive}).",
		"unknown":  "Whether {drive} finds a bay cannot be told without {missing}; look in the data sheets of drive and enclosure.",
	},
	Remedies: map[string]string{
		"fewer": "Leave a drive out, or choose one for the board's M.2 sockets.",
		"lower": "Choose a lower drive.",
	},
	Judge: judgeDriveBays,
}

func judgeDriveBays(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	for i := range d.drives {
		p := &d.drives[i]
		o := outcomeOf(p, d.driveSeats)
		if o.pieces == p.pieces && d.judgeDriveHeight(p, o) {
			continue
		}
		o.open = d.openPlace(p, d.driveBay, func(at *place) bool { return at.form == p.form || contains(at.forms, p.form) })
		form := c.Word(p.item, "drive.form_factor", p.item.Part.GetDrive().FormFactor)
		d.judgePlaces(p, d.driveBay, o, form, driveList, "drive").Remedy("fewer")
	}
}

// judgeDriveHeight reports on a drive whose bay states a height that it does not
// clearly keep, and whether it did.
func (d *desk) judgeDriveHeight(p *party, o outcome) bool {
	for i := range d.driveSeats {
		s := &d.driveSeats[i]
		if s.party != p || s.place.thickness == nil || s.place.owner < 0 {
			continue
		}
		height := d.c.Length(p.item, "drive.height_mm", p.thickness)
		free := d.c.Length(d.chassis, s.place.path(placeThickness), s.place.thickness)
		if height.Known() && height.High <= free.Low {
			continue
		}
		f := d.c.AtMost(height, free).About(p.item, d.chassis).Word("drive", p.item.Name()).Word("places", o.where)
		f.Number("height", height).Number("free", free).SayWhen(kit.Fail, "high").SayWhen(kit.Marginal, "high-bay").Remedy("lower")
		return true
	}
	return false
}
