package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// FactArrangement is the name of the fact that says in which layout the build
// was judged and what sits where, as slipfit.v1.Arrangement.
const FactArrangement = "clearance.arrangement"

var factArrangementName = FactArrangement

// answer backs the fact, so that its memory serves the next case.
type answer struct {
	fact  v1.Arrangement
	seats []v1.Seat
	count []uint32
	yes   bool
}

// conclude provides the arrangement that was judged best: in its boxes where the
// enclosure is described in space, else by who sits where.
func conclude(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	concludeRanking(c, d)
	if concludeGeometry(c, d) {
		return
	}
	a := &d.answer
	a.fact.Needs, a.fact.Seats, a.fact.Feasible, a.fact.Layout = a.fact.Needs[:0], a.fact.Seats[:0], nil, nil
	a.seats, a.count = a.seats[:0], a.count[:0]
	if d.layout != nil {
		a.fact.Layout = d.layout.Id
		a.fact.Needs = append(a.fact.Needs, d.layout.Needs...)
	}
	d.addSingles(a)
	for _, list := range [...][]seat{d.radiatorSeats, d.fanSeats, d.driveSeats} {
		for i := range list {
			d.addSeat(a, &list[i], list[:i])
		}
	}
	tally := c.Tally(c.Alternative())
	if a.yes = tally.Fails == 0; tally.Fails > 0 || tally.Unknowns == 0 {
		a.fact.Feasible = &a.yes
	}
	for i := range a.seats {
		a.seats[i].Count = &a.count[i]
		a.fact.Seats = append(a.fact.Seats, &a.seats[i])
	}
	c.Provide(&v1.Fact{Name: &factArrangementName, Content: &v1.Fact_Arrangement{Arrangement: &a.fact}})
}

// addSingles seats what the layout's geometry has a mount for: boards, supplies
// and cards.
func (d *desk) addSingles(a *answer) {
	for it := range d.c.AllItems() {
		var mount *v1.Mount
		switch it.Kind {
		case kit.KindBoard:
			mount = d.mountOf(it, v1.MountKind_MOUNT_KIND_BOARD, it.Part.GetBoard().GetFormFactor())
		case kit.KindSupply:
			mount = d.mountOf(it, v1.MountKind_MOUNT_KIND_SUPPLY, it.Part.GetSupply().GetFormFactor())
		case kit.KindCard:
			mount = d.mountOf(it, v1.MountKind_MOUNT_KIND_CARD, "")
		}
		if mount != nil {
			a.add(&it.ID, mount.Id, it.Count)
			a.fact.Needs = append(a.fact.Needs, mount.Needs...)
		}
	}
}

// mountOf is the mount that the build sends an item to, else the first that
// takes its form factor.
func (d *desk) mountOf(it *kit.Item, kind v1.MountKind, form string) *v1.Mount {
	for _, choice := range d.c.Build.GetArrangement().GetPlacements() {
		for _, m := range d.layout.GetMounts() {
			if choice.GetItem() == it.ID && choice.Mount != nil && choice.GetMount() == m.GetId() && m.GetKind() == kind {
				return m
			}
		}
	}
	return d.mountFor(kind, form)
}

// addSeat adds a seat and, the first time that its place is used, what the place
// needs. A radiator's place serves its fans as well.
func (d *desk) addSeat(a *answer, s *seat, before []seat) {
	a.add(&s.party.item.ID, &s.place.mount, s.pieces)
	for i := range before {
		if before[i].place == s.place {
			return
		}
	}
	a.fact.Needs = append(a.fact.Needs, s.place.needs...)
}

// add notes a seat by pointers to names that live as long as the case.
func (a *answer) add(item, mount *string, pieces int) {
	a.seats = append(a.seats, v1.Seat{Item: item, Mount: mount})
	a.count = append(a.count, uint32(pieces))
}
