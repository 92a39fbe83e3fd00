package clearance

import (
	"fmt"
	"math"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// reason is one of the requirements that cannot be met together.
type reason struct {
	text  string
	items []int
}

// change is one way to make a build feasible.
type change struct {
	text  string
	items []int
	mm    float64 // 0 where it has no size
	buy   []arrange.Purchase
}

// maxChanges is how many changes are told.
const maxChanges = 4

// explain tells why nothing fits and what would, and shows the arrangement that is
// nearest to fitting.
func (p *plan) explain(answer *arrange.Answer) {
	s := p.scene
	for _, r := range answer.Conflict {
		p.reasons = append(p.reasons, s.reasonOf(r))
	}
	for i, c := range answer.Corrections {
		a := s.arrangement(c.Choices)
		a.purchases = s.purchasesFor(c.Choices)
		if i == 0 {
			p.chosen, p.shown = a, true
		}
		if len(p.changes) < maxChanges {
			change := s.changeOf(&a, c.Changes)
			change.buy = s.purchasesFor(c.Choices)
			p.changes = append(p.changes, change)
		}
	}
}

// reasonOf puts a requirement into words.
func (s *scene) reasonOf(r arrange.Requirement) reason {
	switch r.Kind {
	case arrange.KindGap:
		return reason{
			text:  fmt.Sprintf("%s clear of %s", s.title(r.A), s.title(r.B)),
			items: s.itemsOf(r.A, r.B),
		}
	case arrange.KindLimit:
		mount, label := spaceIn(r.B)
		if label == "" {
			label = s.labelOf(r.A)
		}
		return reason{text: fmt.Sprintf("%s within the space of %s", s.title(label), mount), items: s.itemsOf(label)}
	default:
		return reason{text: "enough of " + r.A}
	}
}

// spaceIn takes the name of a space limit apart: the mount, and whom it is about
// where an option places several.
func spaceIn(name string) (mount, label string) {
	mount, label, _ = strings.Cut(strings.TrimPrefix(name, spaceOf), " for ")
	return mount, label
}

// labelOf is the thing that a variable places first.
func (s *scene) labelOf(variable string) string {
	for i := range s.variables {
		if s.variables[i].Name == variable {
			return s.variables[i].places[0].things[0].label
		}
	}
	return ""
}

// thingOf is some place of the thing that the search calls so.
func (s *scene) thingOf(name string) *thing {
	for _, t := range s.things {
		if t.name() == name {
			return t
		}
	}
	return nil
}

// title names a thing for people.
func (s *scene) title(name string) string {
	t := s.thingOf(name)
	if t != nil && t.group != "" {
		return s.items[t.item].name
	}
	return s.titleOf(t)
}

func (s *scene) titleOf(t *thing) string {
	if t == nil || t.element != nil {
		return t.elementTitle()
	}
	it := &s.items[t.item]
	return t.titled(it.name, it.count, it.part)
}

// titleOf names a thing of a plan as this build calls it: the plan may have come from
// another with parts of the same shapes.
func (d *desk) titleOf(t *thing) string {
	if t == nil || t.element != nil {
		return t.elementTitle()
	}
	it := d.itemAt(t.item)
	return t.titled(it.Name(), it.Count, it.Part)
}

// elementTitle names an element of the enclosure.
func (t *thing) elementTitle() string {
	switch {
	case t == nil:
		return "something"
	case t.element.outer:
		return "the end of its chamber"
	case t.element.panel != nil:
		return "the panel " + t.element.id
	}
	return t.element.id
}

// titled names one of so many pieces of a part.
func (t *thing) titled(name string, count int, part *v1.Part) string {
	if count > 1 {
		name = fmt.Sprintf("%s (%d of %d)", name, t.piece+1, count)
	}
	if part.GetLiquidLoop() != nil {
		if t.cooler {
			return "the block of " + name
		}
		return "the radiator of " + name
	}
	return name
}

func (s *scene) itemsOf(labels ...string) (out []int) {
	for _, l := range labels {
		if t := s.thingOf(l); t != nil && t.item >= 0 {
			out = append(out, t.item)
		}
	}
	return out
}

// changeOf puts a correction into words by the arrangement that then fits.
func (s *scene) changeOf(a *arrangement, list []arrange.Change) change {
	var out change
	var texts []string
	for _, c := range list {
		text, items := s.easing(a, c)
		texts = append(texts, text)
		out.items = append(out.items, items...)
		out.mm = max(out.mm, c.Millimetres)
	}
	if out.mm >= apart/2 {
		out.mm = 0
	}
	out.text = strings.Join(texts, ", and ")
	return out
}

// easing says how one requirement can be eased.
func (s *scene) easing(a *arrangement, c arrange.Change) (string, []int) {
	r := c.Requirement
	if r.Kind == arrange.KindLimit {
		mount, label := spaceIn(r.B)
		if label == "" {
			label = s.labelOf(r.A)
		}
		return fmt.Sprintf("%s smaller by %s, to stay within the space of %s", s.title(label), mm(c.Millimetres), mount), s.itemsOf(label)
	}
	if riser, card := s.thingOf(r.A), s.thingOf(r.B); riser.serving(card) || card.serving(riser) {
		return s.otherRiser(a, riser, card)
	}
	if c.Millimetres >= apart/2 {
		return fmt.Sprintf("%s or %s elsewhere, since their places exclude each other", s.title(r.A), s.title(r.B)), s.itemsOf(r.A, r.B)
	}
	var parts []string
	for _, pair := range [2][2]string{{r.A, r.B}, {r.B, r.A}} {
		if text := s.smaller(a, pair[0], pair[1], c.Millimetres); text != "" {
			parts = append(parts, text)
		}
	}
	if len(parts) == 0 {
		return fmt.Sprintf("%s more between %s and %s", mm(c.Millimetres), s.title(r.A), s.title(r.B)), s.itemsOf(r.A, r.B)
	}
	return strings.Join(parts, " or "), s.itemsOf(r.A, r.B)
}

func mm(v float64) string { return kit.FormatNumber(math.Ceil(v*10)/10, "mm") }

// smaller says how much smaller a part has to be in the direction of another.
func (s *scene) smaller(a *arrangement, name, other string, by float64) string {
	i, g, ok := a.tightest(s, name, other)
	if !ok || a.things[i].item < 0 {
		return ""
	}
	t := a.things[i]
	part := s.items[t.item].part
	own, others := a.pair(&g)
	axis := t.pose.Rotation().Inverse().Face(geometry.FaceOf(geometry.Separate(own.Box, others.Box).Axis, true)).Axis()
	if fan := part.GetFan(); fan != nil && axis == geometry.Z && fan.ThicknessMm != nil {
		return thinnerFan(s.title(name), fan, by)
	}
	if own.Purpose == geometry.PurposePlug {
		return fmt.Sprintf("%s or its plug shorter by %s", s.titleOf(t), mm(by))
	}
	word := shrinks(part, axis)
	if word == "" {
		return ""
	}
	return fmt.Sprintf("%s %s by %s", s.titleOf(t), word, mm(by))
}

// thinnerFan names the thickest usual fan that would do.
func thinnerFan(title string, fan *v1.Fan, by float64) string {
	left := *fan.ThicknessMm - by
	if size, err := standards.FanSizeByNominal(int(fan.GetSizeMm())); err == nil {
		best := 0.0
		for _, t := range size.ThicknessesMM {
			if t <= left {
				best = max(best, t)
			}
		}
		if best > 0 {
			return fmt.Sprintf("%s thinner by %s, such as a fan of %s", title, mm(by), kit.FormatNumber(best, "mm"))
		}
	}
	return fmt.Sprintf("%s thinner by %s", title, mm(by))
}

// shrinks is the word for a part that is smaller along an axis of its own frame;
// empty where nobody sells it so.
func shrinks(part *v1.Part, axis geometry.Axis) string {
	words := [3]string{}
	switch {
	case part.GetCard() != nil:
		words = [3]string{"thinner", "shorter", "lower"}
	case part.GetSupply() != nil:
		words = [3]string{"", "shorter", ""}
	case part.GetAirCooler() != nil, part.GetLiquidLoop() != nil, part.GetRadiator() != nil:
		words = [3]string{"narrower", "less deep", "lower"}
	case part.GetFan() != nil, part.GetMemory() != nil, part.GetDrive() != nil:
		words = [3]string{"", "", "lower"}
	}
	return words[axis]
}

// tightest is the tightest gap of two things by the search's names: the number of
// the first one, and the gap with the piece of that one first.
func (a *arrangement) tightest(s *scene, name, other string) (thing int, tight gapOf, ok bool) {
	for i, t := range a.things {
		if t.name() != name {
			continue
		}
		for j, u := range a.things {
			if u.name() != other || i == j {
				continue
			}
			if g, keeps := a.gap(s, i, j); keeps && (!ok || g.margin < tight.margin) {
				thing, tight, ok = i, g, true
			}
		}
	}
	return thing, tight, ok
}
