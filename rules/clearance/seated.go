package clearance

import "slipfit.example/rules/kit"

// outcome is how a party fared: how many pieces have seats, where, and what is
// not known about it.
type outcome struct {
	pieces    int
	where     string
	stretched bool
	unstated  *place // a used place that lists no sizes
	open      *place // a place that may take more than one, and does not say
}

// outcomeOf sums up a party's seats.
func outcomeOf(p *party, seats []seat) (o outcome) {
	for i := range seats {
		s := &seats[i]
		if s.party != p {
			continue
		}
		o.pieces += s.pieces
		o.stretched = o.stretched || s.stretched
		if s.place.radiator == nil && len(s.place.sizes) == 0 && s.place.form == "" && len(s.place.forms) == 0 {
			o.unstated = s.place
		}
		if o.where != "" {
			o.where += ", "
		}
		o.where += s.place.mount
	}
	return o
}

// openPlace returns a place that a party may use and that does not say how many
// it takes.
func (d *desk) openPlace(p *party, places []place, takes func(*place) bool) *place {
	for i := range places {
		if at := &places[i]; at.count == nil && d.mayGo(p, at.mount) && takes(at) {
			return at
		}
	}
	return nil
}

// judgePlaces reports whether all pieces of a party have places. list is the
// limit that would name them.
func (d *desk) judgePlaces(p *party, places []place, o outcome, size kit.Value, list figure, word string) *kit.Finding {
	c := d.c
	wanted := kit.Constant(float64(p.pieces), "")
	var f *kit.Finding
	switch {
	case !size.Known():
		f = c.Judged(kit.Unknown, size)
	case len(places) == 0:
		f = c.Judged(kit.Unknown, d.absent(list, ""))
	case o.stretched && o.pieces >= p.pieces:
		f = c.Judged(kit.Marginal, size).Say("stretched")
	default:
		f = c.AtLeast(kit.Constant(float64(o.pieces), ""), wanted).Using(size)
		if o.unstated != nil {
			f.Using(c.Absent(d.chassis.At(o.unstated.path(placeSizes)), ""))
		} else if o.open != nil && o.pieces < p.pieces {
			f.Using(c.Absent(d.chassis.At(o.open.path(placeCount)), ""))
		}
	}
	return f.About(p.item, d.chassis).Word(word, p.item.Name()).Word("places", o.where).
		Number("size", size).Number("wanted", wanted).Number("lacking", kit.Constant(float64(p.pieces-o.pieces), ""))
}
