package power

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/electric"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// railShares is how a demand divides over the rails. What is not said comes from
// 12 V, and shares that add up to more than one are scaled down.
func railShares(demand *v1.Demand) (out [railCount]float64) {
	sum := 0.0
	for _, share := range demand.GetRails() {
		if r := railNumber(share.GetRail()); r >= 0 {
			out[r] += share.GetShare()
			sum += share.GetShare()
		}
	}
	if sum < 1 {
		out[rail12] += 1 - sum
		return out
	}
	for r := range out {
		out[r] /= sum
	}
	return out
}

// demandOf is the electrical document of an item; nil for fans and pumps.
func demandOf(it *kit.Item) *v1.Demand {
	switch part := it.Part; it.Kind {
	case kit.KindBoard:
		return part.GetBoard().Demand
	case kit.KindProcessor:
		return part.GetProcessor().Demand
	case kit.KindMemory:
		return part.GetMemory().Demand
	case kit.KindCard:
		return part.GetCard().Demand
	case kit.KindDrive:
		return part.GetDrive().Demand
	}
	return nil
}

// consume notes who draws where. A processor draws at its own sockets, a card with
// sockets at these and at its slot, a drive with a socket there, and everything
// else from the board. Who has no feed is left out; the rule on plugs reports it.
func (b *builder) consume() {
	for i, it := range b.items {
		if !drawsPower(it.Kind) {
			continue
		}
		for r, share := range railShares(demandOf(it)) {
			if share > 0 {
				b.consumeRail(i, it, r, share)
			}
		}
	}
}

func (b *builder) consumeRail(i int, it *kit.Item, r int, share float64) {
	switch {
	case it.Kind == kit.KindProcessor && r == rail12 && b.siteWith(processorSite, -1, 0, r) >= 0:
		b.draw(consumer{item: i, site: b.siteWith(processorSite, -1, 0, r), rail: r, share: share})
	case it.Kind == kit.KindCard && r == rail12 && b.siteWith(socketSite, i, 0, r) >= 0:
		b.drawCard(i, it, share)
	case it.Kind == kit.KindDrive && len(it.Part.GetDrive().PowerSockets) > 0:
		for piece := range min(it.Count, mostFeeds) {
			b.draw(consumer{item: i, site: b.siteWith(driveSite, i, piece, r), rail: r, share: share / float64(it.Count)})
		}
	default:
		b.draw(consumer{item: i, site: b.siteWith(boardSite, -1, 0, r), rail: r, share: share})
	}
}

// drawCard divides a card between its slot and its sockets, each in proportion to
// what it may bring; at check time no more than that is put on the slot.
func (b *builder) drawCard(i int, it *kit.Item, share float64) {
	slot := b.siteWith(boardSite, -1, 0, rail12)
	for piece := range min(it.Count, mostFeeds) {
		whole := consumer{item: i, rail: rail12, share: share / float64(it.Count)}
		from := len(b.c.consumers)
		for s := range b.c.sites {
			limit := b.socketLimit(s, i, piece)
			if limit == 0 {
				continue
			}
			one := whole
			one.site, one.socket, one.part = s, true, limit
			whole.socketsW += limit
			b.draw(one)
		}
		for k := from; k < len(b.c.consumers); k++ {
			b.c.consumers[k].part /= whole.socketsW
			b.c.consumers[k].socketsW, b.c.consumers[k].alone = whole.socketsW, slot < 0
		}
		if whole.socketsW > 0 && slot >= 0 {
			whole.site, whole.slot = slot, true
			b.draw(whole)
		}
	}
}

// socketLimit is what one socket of a card may bring on 12 V, 0 where the site is
// none of this piece's.
func (b *builder) socketLimit(site, item, piece int) float64 {
	s := &b.c.sites[site]
	if s.kind != socketSite || s.item != item || s.piece != piece || !b.fed(site, rail12) {
		return 0
	}
	for i := range b.c.feeds.all {
		if b.sites[i] == site {
			if limit, err := standards.AuxLimitFor(b.c.feeds.all[i].socket); err == nil {
				return limit.SustainedW
			}
		}
	}
	return slotWatts
}

// siteWith finds a site of a kind that gets a rail; item -1 is any. It is -1 where
// there is none.
func (b *builder) siteWith(kind siteKind, item, piece, rail int) int {
	for i := range b.c.sites {
		s := &b.c.sites[i]
		if s.kind == kind && (item < 0 || s.item == item && s.piece == piece) && b.fed(i, rail) {
			return i
		}
	}
	return -1
}

// fed reports whether a rail reaches a site.
func (b *builder) fed(site, rail int) bool {
	for i := range b.sites {
		if b.sites[i] == site && b.carries(i, rail) {
			return true
		}
	}
	return false
}

// draw adds a consumer and gives its site the rail.
func (b *builder) draw(c consumer) {
	if c.site < 0 {
		return
	}
	s := &b.c.sites[c.site]
	if s.nodes[c.rail] == 0 {
		s.nodes[c.rail] = b.n.Node("site " + strconv.Itoa(c.site) + ", " + railNames[c.rail])
	}
	b.c.used[c.rail] = true
	b.c.consumers = append(b.c.consumers, c)
}

// load adds the loads to the network, one for all that is drawn at one point. Their
// figures are set at every solution.
func (b *builder) load() {
	for i := range b.c.consumers {
		c := &b.c.consumers[i]
		c.first = i
		for j := range b.c.consumers[:i] {
			if o := &b.c.consumers[j]; o.site == c.site && o.rail == c.rail {
				c.first, c.element = o.first, o.element
				break
			}
		}
		if s := &b.c.sites[c.site]; c.first == i {
			c.element = b.n.AddLoad(electric.Load{Name: strconv.Itoa(i), Plus: s.nodes[c.rail], Minus: s.nodes[ground], Kind: electric.ConstantPower})
		}
	}
}

// slot12W is what a slot brings on 12 V.
var slot12W = standards.SlotAmpere12V.Value * railVolt

// watts is what a consumer takes of what its item draws, all pieces together.
// excess says that the side with the doubt is to take as much as it can: sockets
// of a card everything that its slot need not bring.
func (c *consumer) watts(draw float64, excess bool) float64 {
	own := c.share * draw
	if !c.slot && !c.socket {
		return own
	}
	slot := min(own*slot12W/(slot12W+c.socketsW), slot12W)
	switch {
	case c.alone:
		return c.part * own
	case c.slot && excess:
		return min(own, slot12W)
	case c.slot:
		return slot
	case excess:
		return c.part * min(own, max(c.socketsW, own-slot12W))
	}
	return c.part * (own - slot)
}
