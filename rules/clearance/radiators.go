package clearance

// maxSlots is how many radiators of one build can take loose fans.
const maxSlots = 16

// slot backs the place that a seated radiator offers to loose fans.
type slot struct {
	sizes [1]uint32
	count uint32
}

// maxTries bounds the search over ways to seat radiators when the cheapest of
// them leaves fans or radiators in each other's way. Builds of up to three
// radiators and eight places stay below it whatever they ask.
const maxTries = 1024

// maxSearched is how many radiators are searched over one by one.
const maxSearched = 8

// radiatorSearch walks over the ways to seat radiators.
type radiatorSearch struct {
	radiators []*party // one entry for each piece
	places    []int    // where each goes, -1 for nowhere
	best      []int
	cost      int64
	tries     int
}

// seatRadiatorsAndFans sends radiators to their places, and loose fans to the
// places and radiators that are then left to them. The cheapest flow of the
// radiators alone is enough unless fans suffer from it or mounts exclude each
// other; then the ways to seat the radiators are searched.
func (d *desk) seatRadiatorsAndFans() {
	s := &d.search
	d.flowRadiators()
	s.best = append(s.best[:0], s.places...)
	s.cost = d.costOf(s.places)
	if d.contested() && len(s.radiators) <= maxSearched {
		s.tries = 0
		d.tryRadiator(0, 0)
		d.costOf(s.best)
	}
	d.radiatorSeats = d.radiatorSeats[:0]
	for i, at := range s.best {
		if at >= 0 {
			d.radiatorSeats = append(d.radiatorSeats, seat{party: s.radiators[i], place: &d.radiatorPlaces[at], pieces: 1})
		}
	}
}

// contested reports whether radiators stand back for each other, or fans for
// radiators, so that another way to seat them may be better.
func (d *desk) contested() bool {
	homeless := homelessAmong(d.search.places)
	if homeless > 0 && homeless < len(d.search.places) {
		return true
	}
	if len(d.search.places) == 0 || d.fanCost < costMarginal {
		return false
	}
	with := d.fanCost
	without := d.seatFans(nil)
	contested := with-without >= costMarginal
	if !contested {
		d.costOf(d.search.best)
	}
	return contested
}

// flowRadiators seats radiators without regard to the fans and to mounts that
// exclude each other, except that a clash gives way to whoever came first.
func (d *desk) flowRadiators() {
	f, s := &d.flow, &d.search
	f.begin(len(d.radiators), len(d.radiatorPlaces))
	for b := range d.radiatorPlaces {
		f.seats[b] = 1
	}
	for a := range d.radiators {
		if d.radiators[a].size > 0 {
			f.pieces[a] = d.radiators[a].pieces
		}
		for b := range d.radiatorPlaces {
			f.price[a*f.places+b] = d.radiatorPrice(&d.radiators[a], b)
		}
	}
	f.solve()
	s.radiators, s.places = s.radiators[:0], s.places[:0]
	for a := range d.radiators {
		for n := 0; n < f.pieces[a]; n++ {
			s.radiators, s.places = append(s.radiators, &d.radiators[a]), append(s.places, -1)
		}
		next := len(s.places) - f.pieces[a]
		for b := range d.radiatorPlaces {
			if f.sent[a*f.places+b] > 0 && !d.clashesWith(s.places, b) {
				s.places[next] = b
				next++
			}
		}
	}
}

func (d *desk) clashesWith(places []int, b int) bool {
	for _, o := range places {
		if o >= 0 && d.radiatorPlaces[o].clashes(&d.radiatorPlaces[b]) {
			return true
		}
	}
	return false
}

// costHomeless is what a radiator without a place costs: more than any trouble
// that its place could make for the fans of a sane build.
const costHomeless int64 = 1 << 50

// radiatorPrice is what a radiator costs at a place, barred where its size is
// not listed or the build's choices send it elsewhere.
func (d *desk) radiatorPrice(r *party, b int) int64 {
	p := &d.radiatorPlaces[b]
	if r.size == 0 || !d.mayGo(r, p.mount) {
		return barred
	}
	takes, stated := p.takes(r.size)
	if stated && !takes {
		return barred
	}
	price := int64(b)
	if !stated {
		price += costUnknown
	}
	stack, known := d.likelyStack(r)
	if !known || p.thickness == nil {
		price += costUnknown
	} else {
		price += fitCost(&stack, p.thickness, d.tolerance())
	}
	if p.length != nil && r.radiator.LengthMm != nil {
		price += fitCost(r.radiator.LengthMm, p.length, d.tolerance())
	}
	return price
}

// likelyStack is a radiator's thickness with its own fans, or else with the
// thickest loose fans of its size.
func (d *desk) likelyStack(r *party) (mm float64, known bool) {
	if r.thickness == nil {
		return 0, false
	}
	mm = *r.thickness
	if len(r.ownFans) > 0 {
		thickest, layers := ownFanStack(r)
		if thickest == nil {
			return 0, false
		}
		return mm + float64(layers)**thickest, true
	}
	var thickest float64
	for i := range d.fans {
		if f := &d.fans[i]; f.size == rows[r.size].size && f.thickness != nil {
			thickest = max(thickest, *f.thickness)
		}
	}
	return mm + thickest, thickest > 0
}

// ownFanStack is the thickest of a loop's own fans, nil where one is not stated,
// and how many fans lie behind each other: two where they are on both sides.
func ownFanStack(r *party) (thickest *float64, layers int) {
	var fans uint32
	for _, s := range r.ownFans {
		n := uint32(1)
		if s.Count != nil {
			n = *s.Count
		}
		fans += n
		if s.Fan == nil || s.Fan.ThicknessMm == nil {
			return nil, 1
		}
		t := s.Fan.ThicknessMm
		if thickest == nil || *t > *thickest {
			thickest = t
		}
	}
	if row := rows[r.size].fans; row > 0 && fans > row {
		return thickest, int((fans + row - 1) / row)
	}
	return thickest, 1
}

func homelessAmong(places []int) (n int) {
	for _, at := range places {
		if at < 0 {
			n++
		}
	}
	return n
}

// costOf seats the fans for one way of seating the radiators and returns what
// both cost.
func (d *desk) costOf(places []int) (cost int64) {
	for i, at := range places {
		if at < 0 {
			cost += costHomeless
		} else {
			cost += d.radiatorPrice(d.search.radiators[i], at)
		}
	}
	d.fanCost = d.seatFans(places)
	return cost + d.fanCost
}

// tryRadiator seats radiator i and those after it in every way that can still be
// better than the best.
func (d *desk) tryRadiator(i int, cost int64) {
	s := &d.search
	if cost >= s.cost || s.tries >= maxTries {
		return
	}
	if i == len(s.radiators) {
		s.tries++
		if total := d.costOf(s.places); total < s.cost {
			s.cost = total
			copy(s.best, s.places)
		}
		return
	}
	for b := range d.radiatorPlaces {
		price := d.radiatorPrice(s.radiators[i], b)
		if price == barred || d.clashesWith(s.places[:i], b) {
			continue
		}
		s.places[i] = b
		d.tryRadiator(i+1, cost+price)
	}
	s.places[i] = -1
	d.tryRadiator(i+1, cost+costHomeless)
}
