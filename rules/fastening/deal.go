package fastening

import "fmt"

// Need is how many fasteners a joint takes.
type Need struct {
	// Count is the whole number.
	Count int
	// Enough still hold the part, at most Count; 0 stands for Count.
	Enough int
}

// Suit is one lot of like fasteners that may go to one joint.
type Suit struct {
	// Lot and Joint are places in the lists of lots and needs.
	Lot, Joint int
	// Doubtful fasteners are used only for what no sure one is left for.
	Doubtful bool
	// Cost is how little one is liked there, 0 to MaxCost.
	Cost int
	// Given is how many of the lot go to the joint: the answer.
	Given int
}

// Limits of a deal.
const (
	MaxCost   = 999
	maxJoints = 1000
	maxLots   = 10000
	maxCount  = 1_000_000
)

// Prices of one fastener. Each outweighs all cheaper ones that an exchange round
// all joints could gather, so that the order of importance is strict: what a part
// is not held without, then what else is missing, then doubt, then liking.
const (
	priceLiking  = int64(maxJoints + 1) // more than all places in the list of joints
	priceDoubt   = int64(1e10)
	priceMissing = int64(1e14)
	priceUnheld  = int64(1e18)
)

// Dealer deals boxes out to joints. Its memory serves one deal after another; it
// is not safe for use by several goroutines.
type Dealer struct {
	lots  []lotState
	needs []needState
	suits []Suit
}

type lotState struct {
	left     int
	distance int64
	from     int // suit by which a joint gives it back; -1: from the box
	reached  bool
}

type needState struct {
	Need
	lacking, short int // still to be worked on; found to be short
	distance       int64
	from           int // suit by which it is filled; -1: by leaving it short
	reached        bool
}

// Deal gives fasteners to joints so that, in this order: as few as possible are
// missing of those that a part is not held without, as few as possible of the
// others, as few doubtful ones as possible are used, and they are liked best. Of
// equal deals the one is taken that serves earlier joints first. The answer is
// exact; it stands in suits[i].Given. Counts are numbers of pieces; the error
// names the count that makes no sense.
//
// It is a flow of least cost from the lots to the joints, by shortest augmenting
// paths that may take back what was given before.
func (d *Dealer) Deal(counts []int, needs []Need, suits []Suit) error {
	if err := d.open(counts, needs, suits); err != nil {
		return err
	}
	for j := range d.needs {
		for d.needs[j].lacking > 0 {
			d.search()
			d.push(j)
		}
	}
	return nil
}

// DealInOrder deals out without a search, for boxes with so many lots that nobody
// would sort them: suit after suit in the order given, the sure ones first. Nothing
// is dealt twice, and no joint is left short beside a lot that fits it; another
// deal may leave fewer short.
func (d *Dealer) DealInOrder(counts []int, needs []Need, suits []Suit) error {
	if err := d.open(counts, needs, suits); err != nil {
		return err
	}
	for _, doubtful := range [...]bool{false, true} {
		for i := range suits {
			s := &suits[i]
			if s.Doubtful != doubtful {
				continue
			}
			l, n := &d.lots[s.Lot], &d.needs[s.Joint]
			amount := min(l.left, n.lacking)
			l.left, n.lacking, s.Given = l.left-amount, n.lacking-amount, s.Given+amount
		}
	}
	for j := range d.needs {
		d.needs[j].short, d.needs[j].lacking = d.needs[j].lacking, 0
	}
	return nil
}

// Left is how many of a lot were not dealt out by the last deal.
func (d *Dealer) Left(lot int) int { return d.lots[lot].left }

// Short is how many a joint lacks after the last deal.
func (d *Dealer) Short(joint int) int { return d.needs[joint].short }

func (d *Dealer) open(counts []int, needs []Need, suits []Suit) error {
	if len(needs) > maxJoints || len(counts) > maxLots {
		return fmt.Errorf("%d joints and %d lots are more than a deal takes (%d and %d); deal them in parts",
			len(needs), len(counts), maxJoints, maxLots)
	}
	d.lots, d.needs, d.suits = d.lots[:0], d.needs[:0], suits
	for i, n := range counts {
		if n < 0 || n > maxCount {
			return fmt.Errorf("lot %d counts %d pieces; a count lies from 0 to %d", i+1, n, maxCount)
		}
		d.lots = append(d.lots, lotState{left: n})
	}
	for i, n := range needs {
		if n.Count < 0 || n.Count > maxCount || n.Enough < 0 || n.Enough > n.Count {
			return fmt.Errorf("joint %d takes %d fasteners, of which %d are enough; counts lie from 0 to %d, and no more are enough than it takes",
				i+1, n.Count, n.Enough, maxCount)
		}
		if n.Enough == 0 {
			n.Enough = n.Count
		}
		d.needs = append(d.needs, needState{Need: n, lacking: n.Count})
	}
	for i := range suits {
		s := &suits[i]
		if s.Lot < 0 || s.Lot >= len(counts) || s.Joint < 0 || s.Joint >= len(needs) || s.Cost < 0 || s.Cost > MaxCost {
			return fmt.Errorf("suit %d names lot %d and joint %d at cost %d; lots and joints count from 0, costs from 0 to %d",
				i+1, s.Lot, s.Joint, s.Cost, MaxCost)
		}
		s.Given = 0
	}
	return nil
}

func (s *Suit) price() int64 {
	price := priceLiking * int64(s.Cost)
	if s.Doubtful {
		price += priceDoubt
	}
	return price
}

// shortStep is the price of leaving a joint one shorter, and how many go at that
// price: first what is not needed to hold the part. Earlier joints are dearer by a
// trifle.
func (d *Dealer) shortStep(j int) (price int64, room int) {
	n, trifle := &d.needs[j], int64(len(d.needs)-j)
	if beyond := n.Count - n.Enough; n.short < beyond {
		return priceMissing + trifle, beyond - n.short
	}
	return priceUnheld + trifle, n.Count - n.short
}

// search finds the cheapest way from the boxes, or from leaving a joint short, to
// every joint: Bellman's rounds, since giving back has negative prices.
func (d *Dealer) search() {
	for i := range d.lots {
		l := &d.lots[i]
		l.reached, l.distance, l.from = l.left > 0, 0, -1
	}
	for j := range d.needs {
		price, room := d.shortStep(j)
		n := &d.needs[j]
		n.reached, n.distance, n.from = room > 0, price, -1
	}
	for changed := true; changed; {
		changed = false
		for i := range d.suits {
			s := &d.suits[i]
			l, n, price := &d.lots[s.Lot], &d.needs[s.Joint], s.price()
			if l.reached && (!n.reached || l.distance+price < n.distance) {
				n.reached, n.distance, n.from, changed = true, l.distance+price, i, true
			}
			if s.Given > 0 && n.reached && (!l.reached || n.distance-price < l.distance) {
				l.reached, l.distance, l.from, changed = true, n.distance-price, i, true
			}
		}
	}
}

// push sends as many fasteners as go along the way that was found to a joint.
func (d *Dealer) push(joint int) {
	amount := d.needs[joint].lacking
	d.walk(joint, func(suit int, forward bool) {
		if !forward {
			amount = min(amount, d.suits[suit].Given)
		}
	}, func(lot, short int) {
		if lot >= 0 {
			amount = min(amount, d.lots[lot].left)
			return
		}
		_, room := d.shortStep(short)
		amount = min(amount, room)
	})
	d.walk(joint, func(suit int, forward bool) {
		if forward {
			d.suits[suit].Given += amount
		} else {
			d.suits[suit].Given -= amount
		}
	}, func(lot, short int) {
		if lot >= 0 {
			d.lots[lot].left -= amount
		} else {
			d.needs[short].short += amount
		}
	})
	d.needs[joint].lacking -= amount
}

// walk follows the way to a joint backwards: each suit with its direction, and at
// last the lot that it starts from, or the joint that is left short.
func (d *Dealer) walk(joint int, suit func(i int, forward bool), start func(lot, short int)) {
	for {
		i := d.needs[joint].from
		if i < 0 {
			start(-1, joint)
			return
		}
		suit(i, true)
		lot := d.suits[i].Lot
		if i = d.lots[lot].from; i < 0 {
			start(lot, -1)
			return
		}
		suit(i, false)
		joint = d.suits[i].Joint
	}
}
