package clearance

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
)

// gapsHandedOn is how many gaps the fact carries.
const gapsHandedOn = 40

// message is the arrangement of a plan as the contract has it, made once: whoever
// asks shares it and must not write to it.
func (p *plan) message() *v1.Arrangement {
	p.once.Do(func() { p.written = p.scene.write(&p.chosen, p.airs, true) })
	return p.written
}

// write turns an arrangement into a message; boxes and gaps only in full.
func (s *scene) write(a *arrangement, airs []air, inFull bool) *v1.Arrangement {
	out := &v1.Arrangement{Layout: s.shape.layout.Id, Seats: s.seatMessages(a), Needs: s.needsOf(a)}
	if len(a.gaps) > 0 {
		out.MarginMm = number(settledZero(a.margin))
	}
	out.FanAreaCm2 = number(float64(a.fanArea) / 100)
	if a.intake+a.exhaust > 0 {
		out.IntakeAreaCm2, out.ExhaustAreaCm2 = number(float64(a.intake)/100), number(float64(a.exhaust)/100)
	}
	out.Buy = buyTokens(a.purchases)
	out.AddedCost, out.Currency = s.prices.priced(a.purchases)
	if inFull {
		shapes := s.shapesOf(a)
		out.Boxes = s.boxMessages(a, airs, shapes)
		out.Gaps = s.gapMessages(a, shapes)
	}
	return out
}

func number(v float64) *float64 { return &v }

// needsOf lists what the layout and its used mounts ask for: a radiator's or a
// drive's mount for each of them, a row of fans once.
func (s *scene) needsOf(a *arrangement) []string {
	needs := append([]string(nil), s.shape.layout.GetNeeds()...)
	used := map[int]bool{}
	for i := range a.seats {
		seat := &a.seats[i]
		if seat.mount < 0 || used[seat.mount] {
			continue
		}
		used[seat.mount] = true
		needs = append(needs, s.shape.mounts[seat.mount].mount.GetNeeds()...)
	}
	return needs
}

// shapesOf names every piece so that drawings, gaps and findings can share the
// name: a thing's first piece by the thing, the others by thing and piece.
func (s *scene) shapesOf(a *arrangement) [][]string {
	taken := map[string]bool{}
	out := make([][]string, len(a.things))
	for i, t := range a.things {
		base := s.shapeBase(t)
		for k := range a.pieces[i] {
			name := base
			if k > 0 {
				name += "-" + xmlName(a.pieces[i][k].Name)
			}
			free := name
			for n := 2; taken[free]; n++ {
				free = name + "-" + strconv.Itoa(n)
			}
			taken[free] = true
			out[i] = append(out[i], free)
		}
	}
	return out
}

func (s *scene) shapeBase(t *thing) string {
	switch {
	case t.element != nil && t.element.panel != nil:
		return xmlName("panel-" + t.element.id)
	case t.element != nil:
		return xmlName("part-" + t.element.id)
	}
	return xmlName(t.label)
}

// xmlName makes a name usable as an XML id: letters, digits and hyphens, a letter
// first (XML 1.0, production 5, in its ASCII range).
func xmlName(s string) string {
	name := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '_':
			return r
		default:
			return '-'
		}
	}, s)
	if name == "" || !(name[0] >= 'a' && name[0] <= 'z' || name[0] >= 'A' && name[0] <= 'Z') {
		return "item-" + name
	}
	return name
}

func (s *scene) boxMessages(a *arrangement, airs []air, shapes [][]string) (out []*v1.PlacedBox) {
	for i, t := range a.things {
		if t.element != nil && t.element.outer {
			continue
		}
		for k := range a.pieces[i] {
			p := &a.pieces[i][k]
			box, purpose := p.Box, solids.PurposeMessage(p.Purpose)
			if t.element != nil {
				box = t.element.shown
			}
			m := &v1.PlacedBox{Body: &p.Name, Purpose: &purpose, Extent: solids.ExtentMessage(box), Shape: &shapes[i][k]}
			if t.item >= 0 {
				piece := uint32(t.piece)
				m.Item, m.Piece = &s.items[t.item].id, &piece
			}
			out = append(out, m)
		}
	}
	for i := range airs {
		out = append(out, s.breathBox(a, &airs[i], shapes))
	}
	return out
}

// breathBox is the free way before a fan as a box.
func (s *scene) breathBox(a *arrangement, w *air, shapes [][]string) *v1.PlacedBox {
	t := a.things[w.thing]
	purpose, piece, body, shape := v1.Purpose_PURPOSE_BREATH, uint32(t.piece), "breath", shapes[w.thing][0]+"-breath"
	return &v1.PlacedBox{Item: &s.items[t.item].id, Piece: &piece, Body: &body, Purpose: &purpose,
		Extent: solids.ExtentMessage(w.box), Shape: &shape}
}

// gapMessages writes the tightest gaps, and for each plug with a bend behind it the
// way straight on from the plug, all by what is left of what they have to keep.
func (s *scene) gapMessages(a *arrangement, shapes [][]string) (out []*v1.Gap) {
	for i := range a.gaps {
		if len(out) == gapsHandedOn {
			break
		}
		g := &a.gaps[i]
		if a.things[g.a].element != nil && a.things[g.a].element.outer {
			continue
		}
		out = append(out, gapMessage(geometry.Between(a.pair(g)), shapes[g.a][g.p], shapes[g.b][g.q], g.required, g.reason))
	}
	for i := range a.things {
		for k := range a.pieces[i] {
			if w, ok := s.wayOn(a, i, k); ok {
				out = append(out, gapMessage(w.gap, shapes[i][k], shapes[w.hit][w.piece], w.bend, toPlug))
			}
		}
	}
	slices.SortStableFunc(out, func(g, h *v1.Gap) int {
		return cmp.Compare(g.GetNominalMm()-g.GetRequiredMm(), h.GetNominalMm()-h.GetRequiredMm())
	})
	return out
}

func gapMessage(gap geometry.Gap, first, second string, required float64, reason why) *v1.Gap {
	// One piece of memory for a message and all that it points to: there are many.
	m := &struct {
		v1.Gap
		axis                                          v1.Axis
		first, second, word                           string
		nominal, low, high, rssLow, rssHigh, required float64
	}{axis: solids.AxisOf(gap.FaceA), first: first, second: second, word: reason.String(), nominal: settledZero(gap.Distance), required: required}
	m.low, m.high = min(m.nominal, gap.Worst.Low), max(m.nominal, gap.Worst.High)
	m.rssLow, m.rssHigh = min(m.nominal, gap.RSS.Low), max(m.nominal, gap.RSS.High)
	m.First, m.Second, m.Axis, m.Reason = &m.first, &m.second, &m.axis, &m.word
	m.NominalMm, m.LowMm, m.HighMm, m.RequiredMm = &m.nominal, &m.low, &m.high, &m.required
	m.RssLowMm, m.RssHighMm = &m.rssLow, &m.rssHigh
	return &m.Gap
}

// concludeGeometry hands on the arrangement in its boxes; false where there is
// none and the one by published limits has to do.
func concludeGeometry(c *kit.Case, d *desk) bool {
	p := d.geometry()
	if p == nil || !p.shown {
		return false
	}
	m := p.message()
	whole := &v1.Arrangement{
		Layout: m.Layout, Seats: m.Seats, Needs: m.Needs, MarginMm: m.MarginMm, Boxes: m.Boxes, Gaps: m.Gaps,
		FanAreaCm2: m.FanAreaCm2, AddedCost: m.AddedCost, Buy: m.Buy, Currency: m.Currency,
		IntakeAreaCm2: m.IntakeAreaCm2, ExhaustAreaCm2: m.ExhaustAreaCm2,
	}
	if tally := c.Tally(c.Alternative()); tally.Fails > 0 || tally.Unknowns == 0 {
		fits := tally.Fails == 0
		whole.Feasible = &fits
	}
	addRoutes(c, whole)
	c.Provide(&v1.Fact{Name: &factArrangementName, Content: &v1.Fact_Arrangement{Arrangement: whole}})
	provideDrawing(c, whole)
	return true
}
