package clearance

// seatFans sends loose fans to the places that radiators leave them and to
// radiators without fans of their own, and returns what that costs.
func (d *desk) seatFans(radiators []int) int64 {
	places := d.limits.fanPlacesKept(d.fanPlaces)
	places = d.addSlots(places, radiators)
	d.fanPlaces = places
	f := &d.flow
	f.begin(len(d.fans), len(places))
	for b := range places {
		if places[b].radiator != nil || !d.taken(radiators, &places[b]) {
			f.seats[b] = places[b].room()
		}
	}
	for a := range d.fans {
		if d.fans[a].size > 0 {
			f.pieces[a] = d.fans[a].pieces
		}
		for b := range places {
			f.price[a*f.places+b] = d.fanPrice(&d.fans[a], b)
		}
	}
	cost := f.solveApart(places, exclusionDepth)
	d.fanSeats = f.list(d.fanSeats[:0], d.fans, places)
	return cost - d.stretchRows()*(costUnseated-costMarginal)
}

// fanPlacesKept drops the radiators' rows that an earlier try had added.
func (l *limits) fanPlacesKept(places []place) []place {
	n := len(places)
	for n > 0 && places[n-1].radiator != nil {
		n--
	}
	return places[:n]
}

// addSlots appends the row of each seated radiator as a place for fans.
func (d *desk) addSlots(places []place, radiators []int) []place {
	n := 0
	for i, at := range radiators {
		row, known := rows[d.search.radiators[i].size]
		if at < 0 || !known || n == maxSlots {
			continue
		}
		s := &d.slots[n]
		s.sizes[0], s.count = row.size, row.fans
		places = append(places, place{
			mount: d.radiatorPlaces[at].mount, list: 1, owner: -1, index: at,
			sizes: s.sizes[:], count: &s.count, radiator: d.search.radiators[i],
		})
		n++
	}
	return places
}

func (d *desk) taken(radiators []int, p *place) bool {
	for _, at := range radiators {
		if at >= 0 && d.radiatorPlaces[at].clashes(p) {
			return true
		}
	}
	return false
}

// fanPrice is what a fan costs at a place. Radiators without fans come first;
// fans join those of a loop only where the build says so.
func (d *desk) fanPrice(fan *party, b int) int64 {
	p := &d.fanPlaces[b]
	if !d.mayGo(fan, p.mount) || p.radiator != nil && len(p.radiator.ownFans) > 0 && !fan.pinned {
		return barred
	}
	takes, stated := p.takes(fan.size)
	switch {
	case stated && !takes:
		return barred
	case p.radiator != nil:
		return 0
	case !stated:
		return int64(b) + 1 + costUnknown
	default:
		return int64(b) + 1 + fitCost(fan.thickness, p.thickness, d.tolerance())
	}
}

// stretchRows seats fans that the published numbers leave over on rows that are
// long enough: two fans of 200 mm leave room for three of 120 mm. It returns how
// many. Whether there are holes for them is not published, so such seats are
// never more than tight.
func (d *desk) stretchRows() (seated int64) {
	f := &d.flow
	for a := range d.fans {
		for b := range d.fanPlaces {
			p := &d.fanPlaces[b]
			price := f.price[a*f.places+b]
			if f.left[a] == 0 || f.seats[b] == 0 || p.radiator != nil || price == barred {
				continue
			}
			for f.left[a] > 0 && d.rowTaken(b)+d.fans[a].size <= p.row() {
				d.stretch(a, b)
				seated++
			}
		}
	}
	return seated
}

// rowTaken is the length of a place's row that fans take.
func (d *desk) rowTaken(b int) (mm uint32) {
	for a := range d.fans {
		mm += uint32(d.flow.sent[a*d.flow.places+b]) * d.fans[a].size
	}
	return mm
}

func (d *desk) stretch(a, b int) {
	d.flow.sent[a*d.flow.places+b]++
	d.flow.left[a]--
	for i := range d.fanSeats {
		if s := &d.fanSeats[i]; s.party == &d.fans[a] && s.place == &d.fanPlaces[b] {
			s.pieces, s.stretched = s.pieces+1, true
			return
		}
	}
	d.fanSeats = append(d.fanSeats, seat{party: &d.fans[a], place: &d.fanPlaces[b], pieces: 1, stretched: true})
}
