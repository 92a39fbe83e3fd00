package power

import (
	"math"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

// foresee solves the circuit for a shortlist, where a candidate is sought that it hangs
// on or that may load it heavily; else it is nil. Where parts sit does not matter to the
// circuit: rules that read nothing but it come to the same in the end.
func (s *survey) foresee(c *kit.Case) *reading {
	for _, it := range s.items {
		switch it.Kind {
		case kit.KindSupply, kit.KindCable, kit.KindBoard, kit.KindProcessor, kit.KindCard, kit.KindDrive:
			if c.Sought(it) {
				return s.operate(c)
			}
		}
	}
	return nil
}

func boundVoltage(c *kit.Case) {
	s := surveyOf(c)
	r := s.foresee(c)
	switch {
	case r == nil:
		return
	case r.collapsed >= 0:
		if c.Sought(s.items[r.collapsed]) {
			c.Unfit()
		}
		return
	case !r.solved:
		return
	}
	p := s.pointsOf(c, r)
	for i := range p.low {
		s.boundPoint(c, p.low[i])
	}
	if len(p.unknown) > 0 {
		boundUnknown(c, p.unknown)
	} else if p.some {
		s.boundPoint(c, p.tightest)
	}
}

// boundPoint foretells the finding on one point.
func (s *survey) boundPoint(c *kit.Case, p supplyPoint) {
	circuit := s.laid.circuit
	k := &circuit.consumers[p.consumer]
	concerned := c.Sought(s.items[k.item])
	for at := range circuit.wayTo(k.site) {
		concerned = concerned || c.Sought(s.cableItem(circuit, circuit.feeds.all[at].cable))
	}
	if concerned {
		bound(c, p.volts.Nominal-p.least, p.least)
	}
}

func boundContacts(c *kit.Case) {
	s := surveyOf(c)
	r := s.foresee(c)
	if r == nil || !r.solved {
		return
	}
	l := s.contactLoads(r, c.Parameter(&unevenFactor).Nominal)
	for i := range l.over {
		switch {
		case !l.over[i].strange:
			s.boundContact(c, l.over[i])
		case c.Sought(s.fedItem(s.laid.circuit, l.over[i].feed)):
			c.Unfit()
		}
	}
	if len(l.unknown) > 0 {
		boundUnknown(c, l.unknown)
	} else if l.some {
		s.boundContact(c, l.busiest)
	}
}

// boundContact foretells the finding on one plug.
func (s *survey) boundContact(c *kit.Case, l contactLoad) {
	if s.soughtBehind(c, l.feed) {
		bound(c, l.rating.Nominal-l.amps.Nominal, l.rating.Nominal)
	}
}

func boundWires(c *kit.Case) {
	s := surveyOf(c)
	r := s.foresee(c)
	if r == nil || !r.solved {
		return
	}
	limit := standards.SupplyWireTemperature.Value
	l := s.wireLoads(c, r, s.airAround(c), limit)
	for i := range l.over {
		s.boundWire(c, l.over[i], limit)
	}
	if len(l.unknown) > 0 {
		boundUnknown(c, l.unknown)
	} else if l.some {
		s.boundWire(c, l.warmest, limit)
	}
}

// boundWire foretells the finding on one cable.
func (s *survey) boundWire(c *kit.Case, l wireLoad, limitC float64) {
	circuit := s.laid.circuit
	if c.Sought(s.cableItem(circuit, circuit.feeds.all[l.feed].cable)) || s.soughtBehind(c, l.feed) {
		bound(c, quantity.Exact(limitC).Sub(l.celsius).Nominal, limitC)
	}
}

// soughtBehind reports whether what is said of a plug concerns a candidate: its socket
// is the candidate's, or the candidate draws through it what its document says.
func (s *survey) soughtBehind(c *kit.Case, feed int) bool {
	circuit := s.laid.circuit
	if c.Sought(s.fedItem(circuit, feed)) {
		return true
	}
	for i := range s.draws {
		d := &s.draws[i]
		if !d.value.Known() || !c.Sought(d.item) || !s.hangsOn(circuit, d.item, feed) {
			continue
		}
		if _, given := loadOf(c, d.item); !given {
			return true
		}
	}
	return false
}

// bound foretells a finding that concerns the candidate, by its margin and by what is
// required: one that misses it fails.
func bound(c *kit.Case, margin, required float64) {
	if margin < 0 {
		c.Unfit()
	}
	if required != 0 {
		c.Ceiling(margin / math.Abs(required))
	}
}

// boundUnknown foretells a finding that misses some values: it is held against a
// candidate whose document does not say them.
func boundUnknown(c *kit.Case, values []kit.Value) {
	if c.SoughtMisses(values...) {
		c.Unfit()
	}
}
