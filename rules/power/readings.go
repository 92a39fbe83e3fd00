package power

import (
	"math"

	"slipfit.example/rules/electric"
)

// readNominal reads currents and voltages under the sustained load.
func (v *solver) readNominal(c *circuit) {
	v.lossW = v.space.LossWatts()
	for i := range c.legs {
		for r := range c.legs[i] {
			l, out := &c.legs[i][r], &v.legs[i][r]
			if *out = (legReading{}); l.wires == 0 {
				continue
			}
			out.nominal = math.Abs(v.space.Amps(l.contact))
			out.wire = math.Abs(v.space.Amps(l.wire)) / float64(l.wires)
			out.wireW = v.space.Watts(l.wire) + v.space.Watts(l.contact)
			// Until the weak corner is solved, and in case it cannot be.
			k := c.worstOf(r)
			out.high, out.wireTop = out.nominal*k, out.wire*k
		}
	}
	for i := range c.consumers {
		volts := v.space.Across(c.consumers[i].element)
		v.loads[i] = loadReading{nominal: volts, sustained: volts}
	}
	for r := range railCount {
		v.rails[r].sustained, v.rails[r].idle, v.rails[r].peak = 0, 0, 0
		if c.used[r] {
			v.rails[r].sustained = v.space.Amps(c.rails[r])
			v.rails[r].peak = v.rails[r].sustained
		}
	}
}

// worstOf is by how much the current of a rail rises when it stands at its low
// limit and feeds loads of constant power.
func (c *circuit) worstOf(rail int) float64 {
	if rail == ground {
		rail = rail12
	}
	return c.volts[rail].Nominal / c.volts[rail].Low
}

// readPeak reads what short peaks change at nominal values.
func (v *solver) readPeak(c *circuit) {
	for i := range c.consumers {
		v.loads[i].nominal = min(v.loads[i].nominal, v.space.Across(c.consumers[i].element))
	}
	for r := range railCount {
		if c.used[r] {
			v.rails[r].peak = v.space.Amps(c.rails[r])
		}
	}
}

// readWeak reads the high ends of sustained currents.
func (v *solver) readWeak(c *circuit) {
	for i := range c.legs {
		for r := range c.legs[i] {
			l, out := &c.legs[i][r], &v.legs[i][r]
			if l.wires > 0 {
				out.high = max(out.nominal, math.Abs(v.space.Amps(l.contact)))
				out.wireTop = max(out.wire, math.Abs(v.space.Amps(l.wire))/float64(l.wires))
			}
		}
	}
	v.readLost(c)
}

// readLost reads what cables lose that the supply's guide does not cover.
func (v *solver) readLost(c *circuit) {
	for i := range c.consumers {
		k, out := &c.consumers[i], &v.loads[i]
		for f := range c.feeds.all {
			if c.feedsSite(f, k.site) && c.legs[f][k.rail].wires > 0 {
				out.lost = max(out.lost, v.foreignDrop(c, f, k.rail))
			}
		}
	}
}

// feedsSite reports whether a plug sits at a site itself.
func (c *circuit) feedsSite(feed, site int) bool {
	return c.itemOf[feed] >= 0 && c.reach[feed] == 1<<site
}

// foreignDrop is what is lost on the way to a plug in cables that are not the
// supply's own, there and back.
func (v *solver) foreignDrop(c *circuit, feed, rail int) float64 {
	sum := 0.0
	for at := feed; at >= 0; at = c.feeds.strands[c.feeds.all[at].cable].up {
		strand := c.feeds.all[at].cable
		if share := c.foreign[strand]; share > 0 {
			there := v.between(c.starts[strand][rail], c.ends[at][rail])
			back := v.between(c.ends[at][ground], c.starts[strand][ground])
			sum += share * max(0, there+back)
		}
	}
	return sum
}

func (v *solver) between(a, b electric.Node) float64 { return v.space.Volts(a) - v.space.Volts(b) }
