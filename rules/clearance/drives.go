package clearance

// seatDrives sends drives to bays of their form factor.
func (d *desk) seatDrives() {
	f := &d.flow
	f.begin(len(d.drives), len(d.driveBay))
	for b := range d.driveBay {
		f.seats[b] = d.driveBay[b].room()
	}
	for a := range d.drives {
		if d.drives[a].form != "" {
			f.pieces[a] = d.drives[a].pieces
		}
		for b := range d.driveBay {
			f.price[a*f.places+b] = d.drivePrice(&d.drives[a], b)
		}
	}
	f.solveApart(d.driveBay, exclusionDepth)
	d.driveSeats = f.list(d.driveSeats[:0], d.drives, d.driveBay)
}

// drivePrice is what a drive costs in a bay. A bay that states no height takes
// the usual ones.
func (d *desk) drivePrice(drive *party, b int) int64 {
	p := &d.driveBay[b]
	stated := p.form != "" || len(p.forms) > 0
	switch {
	case !d.mayGo(drive, p.mount) || stated && p.form != drive.form && !contains(p.forms, drive.form):
		return barred
	case !stated:
		return int64(b) + costUnknown
	case p.thickness == nil:
		return int64(b)
	default:
		return int64(b) + fitCost(drive.thickness, p.thickness, d.tolerance())
	}
}
