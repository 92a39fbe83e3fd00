package electric

import (
	"errors"
	"fmt"
	"math"
)

// InputError says which element of a network, supply or circuit was described
// wrongly, and what to give instead.
type InputError struct {
	Kind    string // "cable", "load", "rail", ...
	Element string // the name its author gave it
	Reason  string // the rest of the sentence
}

// Error is one sentence that names the element.
func (e *InputError) Error() string { return fmt.Sprintf("%s %q %s", e.Kind, e.Element, e.Reason) }

func inputErrorf(kind, name, format string, args ...any) *InputError {
	return &InputError{kind, name, fmt.Sprintf(format, args...)}
}

// CollapseError says that the wiring cannot carry what a load asks for: with
// constant power, a falling voltage means a rising current, and beyond a point
// no voltage satisfies both.
type CollapseError struct {
	Load  string  // the load whose voltage falls furthest
	Share float64 // the share of all loads that could still be carried
	Volts float64 // the load's voltage at that share
}

// Error is one sentence that names the load.
func (e *CollapseError) Error() string {
	return fmt.Sprintf("load %q pulls its own voltage down: the wiring carries about %.0f %% of what the loads ask for, at %.2f V; "+
		"use shorter or thicker cables, or more contacts side by side", e.Load, 100*e.Share, e.Volts)
}

// Ceilings of what a part of a small computer can have. Beyond them a figure
// is a typing error, and arithmetic stays far from overflow.
const (
	mostVolts   = 1e3
	mostAmps    = 1e4
	mostWatts   = 1e5
	mostOhms    = 1e9
	mostMM      = 1e6
	mostSeconds = 1e9
)

// floorOhms is the least resistance that is divided by, one microohm: less
// than a millimetre of the thickest wire. A resistance below it at both ends
// of its range joins its nodes into one; a range that begins below it begins
// at it.
const floorOhms = 1e-6

// faultsOf checks every element on its own and joins what it finds.
func (n *Network) faultsOf() error {
	all := append([]error(nil), n.faults...)
	if err := n.metal.check(); err != nil {
		all = append(all, err)
	}
	for i := range n.elements {
		if err := n.checkElement(&n.elements[i]); err != nil {
			all = append(all, err)
		}
	}
	return errors.Join(all...)
}

func (n *Network) checkElement(e *element) error {
	kind := e.kind.String()
	for _, node := range [2]Node{e.a, e.b} {
		if node < 0 || int(node) >= len(n.nodes) {
			return inputErrorf(kind, e.name, "ends on node %d, which the network does not have: use a node that it made", node)
		}
	}
	if e.a == e.b {
		return inputErrorf(kind, e.name, "has both its ends on node %q: connect it between two nodes", n.nodes[e.a])
	}
	var err error
	switch e.kind {
	case railElement:
		err = e.checkRail()
	case conductorElement:
		if err = e.wire.check(); err == nil && e.wire.LengthMM.High > mostMM {
			err = fmt.Errorf("is %g mm long: give its length in mm", e.wire.LengthMM.High)
		}
	case contactElement:
		err = checkOhms(e.ohms, "resistance in ohm")
	case loadElement:
		err = e.checkLoad()
	}
	if err != nil {
		return inputErrorf(kind, e.name, "%s", err)
	}
	return nil
}

func checkOhms(r Range, what string) error {
	if err := r.checkNotNegative(what); err != nil {
		return fmt.Errorf("is wrong: its %w", err)
	}
	if r.High > mostOhms {
		return fmt.Errorf("is wrong: its %s is %g: give at most %g", what, r.High, mostOhms)
	}
	return nil
}

func (e *element) checkRail() error {
	if err := e.emf.checkPositive("voltage"); err != nil {
		return fmt.Errorf("is wrong: its %w", err)
	}
	if e.emf.High > mostVolts {
		return fmt.Errorf("has %g V: give at most %g V", e.emf.High, mostVolts)
	}
	if err := Exactly(e.lim).checkNotNegative("current limit in A"); err != nil {
		return fmt.Errorf("is wrong: its %w", err)
	}
	return checkOhms(e.ohms, "internal resistance in ohm")
}

// What errors call the draws of a load, ready-made: loads are set anew all the time.
var (
	drawsInWatts = [3]string{"idle draw in W", "sustained draw in W", "excursion draw in W"}
	drawsInAmps  = [3]string{"idle draw in A", "sustained draw in A", "excursion draw in A"}
)

func (e *element) checkLoad() error {
	unit, most, draws := "W", mostWatts, &drawsInWatts
	switch e.load {
	case ConstantPower:
	case ConstantCurrent:
		unit, most, draws = "A", mostAmps, &drawsInAmps
	case Resistance:
		return e.checkResistance()
	default:
		return errors.New("does not say whether its power, its current or its resistance is constant: give its kind")
	}
	for i, what := range draws {
		if err := e.fig[i].checkNotNegative(what); err != nil {
			return fmt.Errorf("is wrong: its %w", err)
		}
		if e.fig[i].High > most {
			return fmt.Errorf("draws %g %s: give at most %g %s", e.fig[i].High, unit, most, unit)
		}
	}
	idle, sustained, peak := e.fig[Idle].Nominal, e.fig[Sustained].Nominal, e.fig[Excursion].Nominal
	if idle > sustained {
		return fmt.Errorf("draws more idle (%g %s) than sustained (%g %s): give a sustained figure above the idle one", idle, unit, sustained, unit)
	}
	if e.fig[Excursion] != (Range{}) && peak < sustained {
		return fmt.Errorf("draws less in an excursion (%g %s) than sustained (%g %s): give the peak, or leave it out", peak, unit, sustained, unit)
	}
	return nil
}

func (e *element) checkResistance() error {
	for i, what := range [3]string{"idle", "sustained", "excursion"} {
		r := e.fig[i]
		if i != int(Sustained) && r == (Range{}) {
			continue
		}
		if err := r.checkPositive(what + " resistance in ohm"); err != nil {
			return fmt.Errorf("is wrong: its %w", err)
		}
		if r.Low < floorOhms || r.High > mostOhms {
			return fmt.Errorf("has a resistance from %g to %g ohm: give one between %g and %g", r.Low, r.High, floorOhms, mostOhms)
		}
	}
	return nil
}

// figure is what the load draws in an operation, absent figures filled in.
func (e *element) figure(op Operation) Range {
	if e.fig[op] == (Range{}) && (op == Excursion || e.load == Resistance) {
		return e.fig[Sustained]
	}
	return e.fig[op]
}

// finite turns a result that overflowed into an error, so that no NaN and no
// infinity leaves the package.
func finite(what string, xs ...float64) error {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%s cannot be worked out from these figures: check their size and their units", what)
		}
	}
	return nil
}
