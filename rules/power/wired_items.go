package power

import (
	"iter"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

// fedItem is whose socket a plug sits in: a part's, or an adapter's start.
func (s *survey) fedItem(c *circuit, feed int) *kit.Item {
	if at := c.itemOf[feed]; at >= 0 {
		return s.items[at]
	}
	for i := range c.feeds.strands {
		if c.feeds.strands[i].up == feed {
			return s.items[c.supplyOf[i]]
		}
	}
	return s.supply
}

func (s *survey) fedName(c *circuit, feed int) string { return s.fedItem(c, feed).Name() }

// gapsOn are the draws that are missing of what hangs on a plug.
func (s *survey) gapsOn(c *circuit, feed int) (out []kit.Value) {
	if len(s.gaps) == 0 {
		return nil
	}
	for i := range s.draws {
		if d := &s.draws[i]; !d.value.Known() && s.hangsOn(c, d.item, feed) {
			out = append(out, d.value)
		}
	}
	return out
}

// hangsOn reports whether an item draws through a plug.
func (s *survey) hangsOn(c *circuit, it *kit.Item, feed int) bool {
	for i := range c.consumers {
		if k := &c.consumers[i]; s.items[k.item] == it && c.reach[feed]&(1<<k.site) != 0 {
			return true
		}
	}
	return false
}

// citeFeed adds the draws behind a plug to a finding's evidence.
func (s *survey) citeFeed(f *kit.Finding, c *circuit, feed int) {
	for i := range s.draws {
		if d := &s.draws[i]; d.value.Known() && s.hangsOn(c, d.item, feed) {
			f.Despite(d.value)
		}
	}
}

// cableItem is the part that a strand belongs to: the supply, or the cable itself.
func (s *survey) cableItem(c *circuit, strand int) *kit.Item { return s.items[c.supplyOf[strand]] }

// gaugeValue is the gauge of the cable of a plug, assumed where it is not stated.
func (s *survey) gaugeValue(c *kit.Case, circuit *circuit, feed int) kit.Value {
	at := circuit.feeds.all[feed].cable
	strand, it := &circuit.feeds.strands[at], s.cableItem(circuit, at)
	field := "cable.gauge_awg"
	if i := strand.lead.index; i >= 0 {
		field = supplyGaugePath.at(i)
	}
	awg, stated := strand.gaugeOf(circuit.feeds.all[feed].plug)
	if !stated {
		return c.Assume(it.At(field), awg, "AWG")
	}
	return c.Figure(it, field, &awg.Nominal, "AWG", 0)
}

// lengthValue is the length of a cable to a plug, assumed where it is not stated.
func (s *survey) lengthValue(c *kit.Case, circuit *circuit, feed int) kit.Value {
	f := &circuit.feeds.all[feed]
	strand, it := &circuit.feeds.strands[f.cable], s.cableItem(circuit, f.cable)
	field := "cable.ends"
	if i := strand.lead.index; i >= 0 {
		field = supplyEndPath.at(i)
	}
	if mm := lengthOf(strand.lead.cable, f.end); mm > 0 {
		return c.Figure(it, field, &mm, "mm", 0)
	}
	return c.Assume(it.At(field), quantity.Range{Nominal: unsaidMM.Nominal, Low: unsaidMM.Low, High: unsaidMM.High}, "mm")
}

// wayTo yields the plugs on the way from the supply to a site: each of those that sit
// there, and what it hangs on.
func (c *circuit) wayTo(site int) iter.Seq[int] {
	return func(yield func(feed int) bool) {
		for i := range c.feeds.all {
			if !c.feedsSite(i, site) {
				continue
			}
			for at := i; at >= 0; at = c.feeds.strands[c.feeds.all[at].cable].up {
				if !yield(at) {
					return
				}
			}
		}
	}
}

// unsaidOn finds a gauge or a length that is not stated on the way to a consumer.
func (s *survey) unsaidOn(c *kit.Case, circuit *circuit, consumer int) (kit.Value, bool) {
	for at := range circuit.wayTo(circuit.consumers[consumer].site) {
		if absent, ok := s.unsaidOf(c, circuit, at); ok {
			return absent, true
		}
	}
	return kit.Value{}, false
}

// unsaidOf finds the gauge or the length of one plug's cable where it is not stated.
func (s *survey) unsaidOf(c *kit.Case, circuit *circuit, feed int) (kit.Value, bool) {
	f := &circuit.feeds.all[feed]
	strand, it := &circuit.feeds.strands[f.cable], s.cableItem(circuit, f.cable)
	gauge, ends := "cable.gauge_awg", "cable.ends"
	if i := strand.lead.index; i >= 0 {
		gauge, ends = supplyGaugePath.at(i), supplyEndPath.at(i)
	}
	switch {
	case strand.lead.cable.GaugeAwg == nil:
		return c.Absent(it.At(gauge), "AWG"), true
	case lengthOf(strand.lead.cable, f.end) == 0:
		return c.Absent(it.At(ends), "mm"), true
	}
	return kit.Value{}, false
}
