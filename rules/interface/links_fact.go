package mating

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// linksFact is the memory of the fact, used again for the next case.
type linksFact struct {
	message v1.Fact
	links   v1.Links
	rows    []*linkRoom // all that have been made
}

// linkRoom is a link and what its pointers point to.
type linkRoom struct {
	v1.Link
	item, into        string
	generation, lanes uint32
	rate              float64
}

// provideLinks works out what is plugged into what, in the order of the items: the
// front panel's leads, cards and drives with their links, fans and pumps.
func provideLinks(c *kit.Case) {
	h := hookupOf(c)
	if h.board == nil {
		return
	}
	h.fact.links.Links = h.fact.links.Links[:0]
	for it := range c.AllItems() {
		switch it.Kind {
		case kit.KindChassis:
			h.provideLeads(it)
		case kit.KindCard, kit.KindDrive:
			h.provideSeats(it)
		case kit.KindFan, kit.KindAirCooler, kit.KindLiquidLoop:
			h.providePlugs(it)
		}
	}
	if h.fact.message.Name == nil {
		name := LinksFact
		h.fact.message.Name, h.fact.message.Content = &name, &v1.Fact_Links{Links: &h.fact.links}
	}
	c.Provide(&h.fact.message)
}

func (h *hookup) provideLeads(it *kit.Item) {
	for _, lead := range it.Part.GetChassis().FrontLeads {
		if h.headersOf(lead.GetHeader()) > 0 {
			h.fact.add(it.ID, lead.GetHeader(), link{}, 0)
		}
	}
}

func (h *hookup) provideSeats(it *kit.Item) {
	s := &h.seats
	for i := range s.pieces {
		p := &s.pieces[i]
		if p.item != it || p.at < 0 {
			continue
		}
		to, l := &s.places[p.at], link{}
		if !p.sata {
			l = s.link(p, to, s.used)
		}
		h.fact.add(it.ID, to.id, l, s.rate(p, to, s.used))
	}
	if drive := it.Part.GetDrive(); drive != nil && !isM2(drive) && busOf(drive) == "sata" {
		h.fact.add(it.ID, "sata", link{}, sataRate)
	}
}

func (h *hookup) providePlugs(it *kit.Item) {
	for i := range h.plugged().consumers {
		if k := &h.plugged().consumers[i]; k.item == it && k.header >= 0 {
			h.fact.add(it.ID, headerName(h.theBoard().Headers[h.plugged().outlets[k.header].number]), link{}, 0)
		}
	}
}

func headerName(header *v1.BoardHeader) string {
	if id := header.GetId(); id != "" {
		return id
	}
	return header.GetKind()
}

// add appends a link; what is 0 is left out as not known.
func (f *linksFact) add(item, into string, l link, rate float64) {
	n := len(f.links.Links)
	if n == len(f.rows) {
		f.rows = append(f.rows, new(linkRoom))
	}
	r := f.rows[n]
	r.item, r.into, r.generation, r.lanes, r.rate = item, into, uint32(l.generation), uint32(l.lanes), rate
	r.Item, r.Into, r.Generation, r.Lanes, r.RateGbs = &r.item, &r.into, nil, nil, nil
	if l.generation > 0 {
		r.Generation = &r.generation
	}
	if l.lanes > 0 {
		r.Lanes = &r.lanes
	}
	if rate > 0 {
		r.RateGbs = &r.rate
	}
	f.links.Links = append(f.links.Links, &r.Link)
}
