package power

import (
	"errors"
	"slices"
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/electric"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

// itemDraw is what one item draws, all pieces together, in W.
type itemDraw struct {
	sustained quantity.Range
	peak      quantity.Range // at least the sustained
	idle      float64
	known     bool // otherwise the above is what is known of it
}

// legReading is what one leg of a circuit carries, in A.
type legReading struct {
	nominal, high float64 // of all contacts together, sustained
	wire, wireTop float64 // of each wire
	wireW         float64 // turned to heat in wires and contacts
}

// loadReading is the voltage that a consumer gets.
type loadReading struct {
	nominal   float64 // in V, during peaks
	sustained float64 // in V, without them
	lost      float64 // in V at most, in cables that the supply's promise does not cover
}

// reading is a circuit's answer to what its items draw.
type reading struct {
	legs  [][railCount + 1]legReading
	loads []loadReading
	rails [railCount]struct{ sustained, idle, peak float64 } // in A
	lossW float64
	// collapsed is the item whose voltage collapses at nominal values, -1 where
	// none does; maybe is the same at the weak ends of all ranges.
	collapsed, maybe int
	// solved says that legs and sustained voltages hold.
	solved bool
	// refused says that the figures are out of all proportion.
	refused bool
}

// solver holds what one goroutine needs to solve a circuit, and its last answer.
type solver struct {
	space *electric.Workspace
	asked []itemDraw
	idle  bool
	watts []float64 // by consumer, for all that draw at its point
	reading
}

// takeDraws adds up what every item draws.
func (s *survey) takeDraws() {
	s.taken = zeroed(s.taken, len(s.items))
	for i := range s.taken {
		s.taken[i].known = true
	}
	at := 0
	for i := range s.draws {
		for s.items[at] != s.draws[i].item { // both in the build's order
			at++
		}
		d, value := &s.taken[at], s.draws[i].value
		if !value.Known() {
			d.known = false
			continue
		}
		d.sustained = d.sustained.Add(value.Range)
	}
	for i, it := range s.items {
		s.taken[i].extend(it, s.tolerance)
	}
}

// extend adds peak and rest of the item's document.
func (d *itemDraw) extend(it *kit.Item, tolerance float64) {
	d.peak, d.idle = d.sustained, d.sustained.Nominal
	demand := demandOf(it)
	if demand == nil || !d.known {
		return
	}
	n := float64(it.Count)
	if it.Kind == kit.KindMemory {
		n *= float64(counted(it.Part.GetMemory().Modules))
	}
	if demand.IdleW != nil {
		d.idle = min(d.idle, n*demand.GetIdleW())
	}
	d.peak = d.peak.Larger(quantity.Share(n*greatestPeak(demand), tolerance))
}

func greatestPeak(demand *v1.Demand) (watts float64) {
	for _, x := range demand.Excursions {
		watts = max(watts, x.GetPowerW())
	}
	return watts
}

// operate solves the circuit for what the items draw. It is nil where the build
// has no circuit.
func (s *survey) operate(c *kit.Case) *reading {
	if s.reading != nil {
		return s.reading
	}
	circuit := s.network(c)
	if circuit == nil {
		return nil
	}
	s.takeDraws()
	v, _ := circuit.solvers.Get().(*solver)
	if v == nil {
		v = circuit.newSolver()
	}
	v.solve(circuit, s.taken, c.Wants(CircuitFact))
	s.readings.copy(&v.reading)
	circuit.solvers.Put(v)
	s.reading = &s.readings
	return s.reading
}

func (r *reading) copy(o *reading) {
	legs, loads := append(r.legs[:0], o.legs...), append(r.loads[:0], o.loads...)
	*r = *o
	r.legs, r.loads = legs, loads
}

func (c *circuit) newSolver() *solver {
	v := &solver{space: c.net.NewWorkspace()}
	v.legs, v.loads = make([][railCount + 1]legReading, len(c.legs)), make([]loadReading, len(c.consumers))
	return v
}

// solve answers from memory where the same was asked before.
func (v *solver) solve(c *circuit, draws []itemDraw, idle bool) {
	if slices.Equal(v.asked, draws) && (v.idle || !idle) {
		return
	}
	v.asked = append(v.asked[:0], draws...)
	v.idle = idle
	v.collapsed, v.maybe, v.refused, v.solved = -1, -1, false, false
	if !v.run(c, electric.Nominal, sustainedOf, &v.collapsed) {
		return
	}
	v.solved = true
	v.readNominal(c)
	peaks := slices.ContainsFunc(draws, func(d itemDraw) bool { return d.peak != d.sustained })
	if peaks && v.run(c, electric.Nominal, peakOf, &v.collapsed) {
		v.readPeak(c)
	}
	if v.run(c, electric.Weak, sustainedOf, &v.maybe) {
		v.readWeak(c)
	}
	if peaks && v.run(c, electric.Weak, peakOf, &v.maybe) {
		v.readLost(c)
	}
	if idle && v.run(c, electric.Nominal, idleOf, &v.collapsed) {
		for r := range railCount {
			if c.used[r] {
				v.rails[r].idle = v.space.Amps(c.rails[r])
			}
		}
	}
}

func sustainedOf(d *itemDraw) quantity.Range { return d.sustained }
func peakOf(d *itemDraw) quantity.Range      { return d.peak }
func idleOf(d *itemDraw) quantity.Range      { return quantity.Exact(d.idle) }

// run solves one operation at one corner. Where the voltage collapses it notes
// whose.
func (v *solver) run(c *circuit, corner electric.Corner, of func(*itemDraw) quantity.Range, collapsed *int) bool {
	v.space.Assume(electric.Sustained, corner)
	v.watts = zeroed(v.watts, len(c.consumers))
	for i := range c.consumers {
		k := &c.consumers[i]
		if draw := of(&v.asked[k.item]); corner == electric.Weak {
			v.watts[k.first] += k.watts(draw.High, true)
		} else {
			v.watts[k.first] += k.watts(draw.Nominal, false)
		}
	}
	for i := range c.consumers {
		if k := &c.consumers[i]; k.first == i && v.space.Fix(k.element, v.watts[i]) != nil {
			v.refused = true
			return false
		}
	}
	err := v.space.Solve()
	var collapse *electric.CollapseError
	switch {
	case errors.As(err, &collapse):
		load, _ := strconv.Atoi(collapse.Load) // as it was named
		*collapsed = c.consumers[load].item
	case err != nil:
		v.refused = true
	}
	return err == nil
}
