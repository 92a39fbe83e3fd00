package electric

import "fmt"

// Corner is one choice among the ends of all ranges at once.
type Corner int8

// The three corners that stand for a whole network.
const (
	// Nominal takes the expected value everywhere.
	Nominal Corner = iota
	// Weak takes low rail voltages, high resistances and high draws: the
	// lowest voltage at the loads.
	Weak
	// Strong takes the opposite ends: the highest voltage at the loads.
	Strong
)

// end is the end of a range that weakens the network as it rises.
func (c Corner) end() int8 {
	switch c {
	case Weak:
		return 1
	case Strong:
		return -1
	}
	return 0
}

// Workspace holds the numbers of one circuit while it is solved, and the last
// solution. It is made once, used as often as needed without allocating, and
// belongs to one goroutine.
type Workspace struct {
	c      *Circuit
	corner Corner
	ohms   []float64 // element -> resistance; loads: the figure of the load
	emf    []float64 // element -> voltage of a rail
	open   []bool

	offset       []float64 // node -> voltage above its group's
	volts        []float64 // node -> voltage
	idle         []float64 // node -> voltage without any load
	x, keep      []float64 // unknowns, and the last good ones
	step         []float64
	g, e         []float64 // branch -> conductance and voltage of its straight part
	baseD, baseL []float64 // matrix of the straight parts
	d, l, own    []float64
	amps         []float64 // element -> current from its a end to its b end
	copperC      []float64 // element -> temperature of a cable's copper, C
	outflow      []float64 // node -> scratch
	scale        float64   // largest rail voltage, V
}

// NewWorkspace makes the room to solve the circuit in, set to the sustained
// operation at nominal values.
func (c *Circuit) NewWorkspace() *Workspace {
	elements, nodes, n, slots := len(c.net.elements), len(c.net.nodes), c.pattern.n, len(c.pattern.row)
	floats := make([]float64, 4*elements+4*nodes+6*n+2*slots+2*len(c.branches))
	take := func(k int) []float64 {
		s := floats[:k:k]
		floats = floats[k:]
		return s
	}
	w := &Workspace{
		c: c, open: make([]bool, elements),
		ohms: take(elements), emf: take(elements), amps: take(elements), copperC: take(elements),
		offset: take(nodes), volts: take(nodes), idle: take(nodes), outflow: take(nodes),
		x: take(n), keep: take(n), step: take(n), baseD: take(n), d: take(n), own: take(n),
		baseL: take(slots), l: take(slots),
		g: take(len(c.branches)), e: take(len(c.branches)),
	}
	w.Assume(Sustained, Nominal)
	return w
}

// Assume sets every element to a corner of its ranges and every load to an
// operation, and undoes Run, Fix and Open.
func (w *Workspace) Assume(op Operation, corner Corner) {
	w.corner = corner
	end := corner.end()
	for i := range w.c.net.elements {
		e := &w.c.net.elements[i]
		w.open[i] = false
		switch {
		case e.kind != loadElement:
			w.ohms[i] = w.c.ohms[i].at(end)
			w.emf[i] = e.emf.at(-end)
			w.copperC[i] = e.wire.TempC.at(end)
		case e.load == Resistance:
			w.ohms[i] = e.figure(op).at(-end)
		default:
			w.ohms[i] = e.figure(op).at(end)
		}
	}
}

// Run sets one load to an operation of its own at the assumed corner, for
// instance one card to its excursion while the rest is sustained.
func (w *Workspace) Run(load Element, op Operation) error {
	e := &w.c.net.elements[load]
	if e.kind != loadElement {
		return inputErrorf(e.kind.String(), e.name, "is no load: set the operation of a load")
	}
	end := w.corner.end()
	if e.load == Resistance {
		end = -end
	}
	w.ohms[load] = e.figure(op).at(end)
	return nil
}

// Fix sets one element to a value: ohms for a conductor or a contact, volts
// for a rail, and the figure of its kind for a load.
func (w *Workspace) Fix(element Element, value float64) error {
	e := &w.c.net.elements[element]
	trial := *e
	var err error
	switch {
	case e.kind == railElement:
		trial.emf = Exactly(value)
		err = trial.checkRail()
	case e.kind == loadElement:
		trial.fig = [3]Range{Sustained: Exactly(value)}
		err = trial.checkLoad()
	case w.c.rigidOf[element] >= 0:
		err = fmt.Errorf("has no resistance to change: describe it with a length or a resistance")
	default:
		if err = checkOhms(Exactly(value), "resistance in ohm"); err == nil && value < floorOhms {
			err = fmt.Errorf("is set to %g ohm: give at least %g", value, floorOhms)
		}
	}
	if err != nil {
		return inputErrorf(e.kind.String(), e.name, "%s", err)
	}
	if e.kind == railElement {
		w.emf[element] = value
	} else {
		w.ohms[element] = value
	}
	return nil
}

// Open takes a conductor, contact or load out of the circuit, as if it were
// broken or pulled.
func (w *Workspace) Open(element Element) error {
	e := &w.c.net.elements[element]
	if e.kind == railElement || w.c.rigidOf[element] >= 0 {
		return inputErrorf(e.kind.String(), e.name, "cannot be opened: open a contact, a load, or a cable that has a length")
	}
	w.open[element] = true
	return nil
}

// Volts is the voltage of a node above [Return] in the last solution.
func (w *Workspace) Volts(n Node) float64 { return w.volts[n] }

// Across is the voltage from an element's first node to its second: a drop
// along a cable, the supply voltage of a load, the terminal voltage of a rail.
func (w *Workspace) Across(e Element) float64 {
	el := &w.c.net.elements[e]
	return w.volts[el.a] - w.volts[el.b]
}

// Amps is the current of an element in the direction that its Add method
// states. A rail that is fed from another supply has a negative current.
func (w *Workspace) Amps(e Element) float64 {
	if w.c.net.elements[e].kind == railElement {
		return -w.amps[e]
	}
	return w.amps[e]
}

// WireAmps is the current in each wire of a conductor; for other elements it
// is Amps.
func (w *Workspace) WireAmps(e Element) float64 {
	if el := &w.c.net.elements[e]; el.kind == conductorElement {
		return w.amps[e] / float64(el.wire.Count)
	}
	return w.Amps(e)
}

// Watts is what a load takes, what a cable or contact turns into heat, and
// what a rail gives at its terminals.
func (w *Workspace) Watts(e Element) float64 { return w.Across(e) * w.Amps(e) }

// LossWatts is the heat in all cables and contacts together.
func (w *Workspace) LossWatts() float64 {
	sum := 0.0
	for i := range w.c.net.elements {
		if k := w.c.net.elements[i].kind; k == conductorElement || k == contactElement {
			sum += w.Watts(Element(i))
		}
	}
	return sum
}

// DeliveredWatts is what all rails together give at their terminals.
func (w *Workspace) DeliveredWatts() float64 {
	sum := 0.0
	for i := range w.c.net.elements {
		if w.c.net.elements[i].kind == railElement {
			sum += w.Watts(Element(i))
		}
	}
	return sum
}

// AppendOverloads appends the rails whose current is above their limit, or
// below zero: fed backwards from another supply.
func (w *Workspace) AppendOverloads(rails []Element) []Element {
	for i := range w.c.net.elements {
		e := &w.c.net.elements[i]
		if e.kind != railElement {
			continue
		}
		amps := w.Amps(Element(i))
		if (e.lim > 0 && amps > e.lim) || amps < -backfeedAmps {
			rails = append(rails, Element(i))
		}
	}
	return rails
}

// backfeedAmps is the backward current that is told apart from rounding.
const backfeedAmps = 1e-6
