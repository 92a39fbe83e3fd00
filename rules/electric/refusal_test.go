package electric

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// bench is the smallest sound network; the cases spoil it.
func bench() (n *Network, rail, plug Node) {
	n = NewNetwork(copper)
	rail, plug = n.Node("12 V"), n.Node("plug")
	n.AddRail(Rail{Name: "12 V", Plus: rail, Minus: Return, Volts: Exactly(12)})
	n.AddConductor(Conductor{"lead", rail, plug, metre(18)})
	return n, rail, plug
}

func metre(g Gauge) Wire {
	return Wire{Gauge: g, LengthMM: Exactly(1000), Count: 1, TempC: Exactly(20)}
}

func watts(name string, plus, minus Node, w float64) Load {
	return Load{Name: name, Plus: plus, Minus: minus, Kind: ConstantPower, Sustained: Exactly(w)}
}

func TestBadNetworksAreRefused(t *testing.T) {
	cases := []struct {
		name, want string
		spoil      func(n *Network, rail, plug Node)
	}{
		{"load on wiring without a rail", `load "drive" has no rail: nothing leads from node "loose plug" to a supply; add the rail and its cable`,
			func(n *Network, _, _ Node) { n.AddLoad(watts("drive", n.Node("loose plug"), Return, 5)) }},
		{"load between two ends of one wire", `load "drive" has no rail: the same wiring holds both its ends; connect its plus to a rail`,
			func(n *Network, rail, plug Node) { n.AddLoad(watts("drive", rail, plug, 5)) }},
		{"load without a return", `load "drive" has no rail: nothing leads from node "drive ground" to a supply; add the rail and its cable`,
			func(n *Network, _, plug Node) { n.AddLoad(watts("drive", plug, n.Node("drive ground"), 5)) }},
		{"cable without a gauge", `cable "extension" has no gauge: give its AWG number or its area in mm2`,
			func(n *Network, _, plug Node) {
				n.AddConductor(Conductor{"extension", plug, n.Node("end"), Wire{LengthMM: Exactly(300), Count: 1}})
			}},
		{"cable with gauge and area", `cable "extension" has both a gauge and an area: give one of them`,
			func(n *Network, _, plug Node) {
				n.AddConductor(Conductor{"extension", plug, n.Node("end"), Wire{Gauge: 18, AreaMM2: 0.75, LengthMM: Exactly(300), Count: 1}})
			}},
		{"cable of a gauge beyond the table", `cable "extension" has gauge 75, outside AWG 1 to 40: give its AWG number or its area in mm2`,
			func(n *Network, _, plug Node) { n.AddConductor(Conductor{"extension", plug, n.Node("end"), metre(75)}) }},
		{"cable without wires", `cable "extension" has 0 wires: give the number of wires side by side, 1 for a single one`,
			func(n *Network, _, plug Node) {
				n.AddConductor(Conductor{"extension", plug, n.Node("end"), Wire{Gauge: 18, LengthMM: Exactly(300)}})
			}},
		{"cable of negative length", `cable "extension" is wrong: its length in mm is -300, below zero: give zero or more`,
			func(n *Network, _, plug Node) {
				n.AddConductor(Conductor{"extension", plug, n.Node("end"), Wire{Gauge: 18, LengthMM: Exactly(-300), Count: 1}})
			}},
		{"negative watts", `load "fan" is wrong: its sustained draw in W is -3, below zero: give zero or more`,
			func(n *Network, _, plug Node) { n.AddLoad(watts("fan", plug, Return, -3)) }},
		{"watts that are no number", `load "fan" is wrong: its sustained draw in W is not a finite number: give a plain figure`,
			func(n *Network, _, plug Node) { n.AddLoad(watts("fan", plug, Return, math.NaN())) }},
		{"infinite resistance", `contact "blade" is wrong: its resistance in ohm is not a finite number: give a plain figure`,
			func(n *Network, _, plug Node) {
				n.AddContact(Contact{"blade", plug, n.Node("end"), Exactly(math.Inf(1))})
			}},
		{"range out of order", `contact "blade" is wrong: its resistance in ohm runs 3, 2, 1, out of order: give low end, expected value and high end, rising`,
			func(n *Network, _, plug Node) { n.AddContact(Contact{"blade", plug, n.Node("end"), Range{3, 2, 1}}) }},
		{"load of no kind", `load "fan" does not say whether its power, its current or its resistance is constant: give its kind`,
			func(n *Network, _, plug Node) {
				n.AddLoad(Load{Name: "fan", Plus: plug, Minus: Return, Sustained: Exactly(3)})
			}},
		{"load that peaks below its sustained draw", `load "card" draws less in an excursion (200 W) than sustained (300 W): give the peak, or leave it out`,
			func(n *Network, _, plug Node) {
				n.AddLoad(Load{Name: "card", Plus: plug, Minus: Return, Kind: ConstantPower, Sustained: Exactly(300), Excursion: Exactly(200)})
			}},
		{"load that idles above its sustained draw", `load "card" draws more idle (30 W) than sustained (20 W): give a sustained figure above the idle one`,
			func(n *Network, _, plug Node) {
				n.AddLoad(Load{Name: "card", Plus: plug, Minus: Return, Kind: ConstantPower, Idle: Exactly(30), Sustained: Exactly(20)})
			}},
		{"contact that insulates", `contact "blade" is wrong: its resistance in ohm is 1e+12: give at most 1e+09`,
			func(n *Network, _, plug Node) { n.AddContact(Contact{"blade", plug, n.Node("end"), Exactly(1e12)}) }},
		{"load of no resistance", `load "lamp" is wrong: its sustained resistance in ohm is 0, not above zero: give a figure above zero`,
			func(n *Network, _, plug Node) {
				n.AddLoad(Load{Name: "lamp", Plus: plug, Minus: Return, Kind: Resistance})
			}},
		{"rail without voltage", `rail "5 V" is wrong: its voltage is 0, not above zero: give a figure above zero`,
			func(n *Network, _, _ Node) { n.AddRail(Rail{Name: "5 V", Plus: n.Node("5 V"), Minus: Return}) }},
		{"contact back to its own node", `contact "blade" has both its ends on node "plug": connect it between two nodes`,
			func(n *Network, _, plug Node) { n.AddContact(Contact{"blade", plug, plug, Exactly(0.01)}) }},
		{"node of another network", `contact "blade" ends on node 99, which the network does not have: use a node that it made`,
			func(n *Network, _, plug Node) { n.AddContact(Contact{"blade", plug, 99, Exactly(0.01)}) }},
		{"two joints side by side", `contact "second joint" closes a loop without any resistance with "first joint": give the length or the resistance of one of them`,
			func(n *Network, _, plug Node) {
				end := n.Node("end")
				n.AddContact(Contact{"first joint", plug, end, Range{}})
				n.AddContact(Contact{"second joint", end, plug, Range{}})
			}},
		{"rail shorted by joints", `contact "slip" closes a loop without any resistance with "bridge", "12 V": give the length or the resistance of one of them`,
			func(n *Network, rail, _ Node) {
				middle := n.Node("middle")
				n.AddContact(Contact{"bridge", rail, middle, Range{}})
				n.AddContact(Contact{"slip", Return, middle, Range{}})
			}},
		{"two ideal rails on one node", `rail "second 12 V" closes a loop without any resistance with "12 V": give the length or the resistance of one of them`,
			func(n *Network, rail, _ Node) {
				n.AddRail(Rail{Name: "second 12 V", Plus: rail, Minus: Return, Volts: Exactly(12)})
			}},
		{"adapters in a ring", `adapter "second" feeds back into its own supply side through "first", "second": plug the first of them into the supply`,
			func(n *Network, _, _ Node) {
				a, b := n.Node("a"), n.Node("b")
				n.AddAdapter(Adapter{"first", a, []Node{b}, metre(18)})
				n.AddAdapter(Adapter{"second", b, []Node{a}, metre(18)})
			}},
		{"adapter plugged into itself over a contact", `adapter "splitter" feeds back into its own supply side through "splitter": plug the first of them into the supply`,
			func(n *Network, _, plug Node) {
				out := n.Node("out")
				n.AddAdapter(Adapter{"splitter", plug, []Node{out, n.Node("other")}, metre(18)})
				n.AddContact(Contact{"plug", out, plug, Exactly(0.005)})
			}},
		{"adapter without outlets", `adapter "splitter" has no outlet: give the nodes that it feeds`,
			func(n *Network, _, plug Node) { n.AddAdapter(Adapter{"splitter", plug, nil, metre(18)}) }},
		{"harness with contacts missing", `cable "8-pin" has 4 wires and 2 plug contacts: give one contact resistance for each wire`,
			func(n *Network, rail, plug Node) {
				w := metre(18)
				w.Count = 4
				n.AddHarness(Harness{Name: "8-pin", From: rail, To: plug, Wire: w, EachPlugOhms: make([]Range, 2)})
			}},
		{"floating wiring", `cable "lost" floats: nothing leads from its node "left" to the return of a supply; connect it or leave it out`,
			func(n *Network, _, _ Node) {
				n.AddConductor(Conductor{"lost", n.Node("left"), n.Node("right"), metre(18)})
			}},
		{"lonely node", `node "lonely" is connected to nothing: connect it or leave it out`,
			func(n *Network, _, _ Node) { n.Node("lonely") }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			n, rail, plug := bench()
			c.spoil(n, rail, plug)
			_, err := n.Compile()
			if err == nil || err.Error() != c.want {
				t.Fatalf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

func TestBadMetalIsRefused(t *testing.T) {
	_, err := NewNetwork(Metal{}).Compile()
	if want := "the wire metal has a resistivity of 0 ohm m: give one above zero"; err == nil || err.Error() != want {
		t.Fatalf("got %v, want %s", err, want)
	}
}

// All that is wrong with single elements is told at once.
func TestAllBadElementsAreNamed(t *testing.T) {
	n, _, plug := bench()
	n.AddLoad(watts("fan", plug, Return, -3))
	n.AddLoad(watts("drive", plug, Return, -5))
	_, err := n.Compile()
	if err == nil || !strings.Contains(err.Error(), `"fan"`) || !strings.Contains(err.Error(), `"drive"`) {
		t.Fatalf("the error names not both loads: %v", err)
	}
	var bad *InputError
	if !errors.As(err, &bad) || bad.Element != "fan" || bad.Kind != "load" {
		t.Fatalf("the first faulty element is not the fan: %+v", bad)
	}
}

// One load behind one resistance collapses above E^2/4R, where its voltage is
// half of the rail's: the maximum power transfer theorem.
func TestCollapseIsWherePowerTransferEnds(t *testing.T) {
	build := func(w float64) *Workspace {
		n, _, plug := bench()
		card := n.Node("card")
		n.AddContact(Contact{"bad contact", plug, card, Exactly(0.5)})
		n.AddLoad(watts("card", card, Return, w))
		return mustCompile(t, n).NewWorkspace()
	}
	ohms := 0.5 + copper.ohmsPerMetre(Gauge(18).AreaMM2(), 20)
	most := 12 * 12 / (4 * ohms)
	below := build(0.9999 * most)
	mustSolve(t, below)
	if v := below.Across(3); math.Abs(v-6) > 0.1 || v < 6 {
		t.Errorf("just below collapse the load stands at %g V, want a little above 6 V", v)
	}
	err := build(1.25 * most).Solve()
	var collapse *CollapseError
	if !errors.As(err, &collapse) {
		t.Fatalf("got %v, want a collapse", err)
	}
	if collapse.Load != "card" || math.Abs(collapse.Share-0.8) > 0.001 || math.Abs(collapse.Volts-6) > 0.2 {
		t.Errorf("collapse %+v, want card at a share of 0.800 near 6 V", collapse)
	}
	if want := `load "card" pulls its own voltage down: the wiring carries about 80 % of what the loads ask for`; !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s ...", err, want)
	}
}

// Of two loads, the one behind the bad contact is named.
func TestCollapseNamesTheLoad(t *testing.T) {
	n, rail, plug := bench()
	n.AddLoad(watts("drive", plug, Return, 5))
	far := n.Node("far")
	n.AddContact(Contact{"burnt contact", rail, far, Exactly(2)})
	n.AddLoad(watts("card", far, Return, 60))
	err := mustCompile(t, n).NewWorkspace().Solve()
	var collapse *CollapseError
	if !errors.As(err, &collapse) || collapse.Load != "card" {
		t.Fatalf("got %v, want the collapse of the card", err)
	}
}

func TestReversedLoadIsRefused(t *testing.T) {
	n, _, plug := bench()
	n.AddLoad(watts("fan", Return, plug, 3))
	err := mustCompile(t, n).NewWorkspace().Solve()
	want := `load "fan" gets -12.00 V: swap its plus and its minus, or connect them to different rails`
	if err == nil || err.Error() != want {
		t.Fatalf("got %v, want %s", err, want)
	}
}

func TestOpenAndFix(t *testing.T) {
	n, rail, plug := bench()
	second := n.AddConductor(Conductor{"second lead", rail, plug, metre(18)})
	load := n.AddLoad(Load{Name: "lamp", Plus: plug, Minus: Return, Kind: ConstantCurrent, Sustained: Exactly(4)})
	w := mustCompile(t, n).NewWorkspace()
	mustSolve(t, w)
	if got := w.Amps(second); !within(got, 2, 1e-12, 0) {
		t.Errorf("each of two equal leads carries %g A, want 2 A", got)
	}
	if err := w.Open(second); err != nil {
		t.Fatal(err)
	}
	mustSolve(t, w)
	if w.Amps(second) != 0 || !within(w.Amps(1), 4, 1e-12, 0) {
		t.Errorf("with one lead open the leads carry %g and %g A, want 4 and 0 A", w.Amps(1), w.Amps(second))
	}
	if err := w.Open(1); err != nil {
		t.Fatal(err)
	}
	if err := w.Solve(); err == nil || !strings.Contains(err.Error(), "every other end is open") {
		t.Errorf("with both leads open: %v", err)
	}
	w.Assume(Sustained, Nominal)
	if err := w.Fix(load, 6); err != nil {
		t.Fatal(err)
	}
	mustSolve(t, w)
	if got := w.Amps(load); got != 6 {
		t.Errorf("the lamp takes %g A, want the 6 A that it was set to", got)
	}
	for _, c := range []struct {
		err  error
		want string
	}{
		{w.Fix(load, -1), `load "lamp" is wrong: its sustained draw in A is -1, below zero: give zero or more`},
		{w.Fix(second, 0), `cable "second lead" is set to 0 ohm: give at least 1e-06`},
		{w.Fix(0, math.NaN()), `rail "12 V" is wrong: its voltage is not a finite number: give a plain figure`},
		{w.Open(0), `rail "12 V" cannot be opened: open a contact, a load, or a cable that has a length`},
		{w.Run(second, Idle), `cable "second lead" is no load: set the operation of a load`},
	} {
		if c.err == nil || c.err.Error() != c.want {
			t.Errorf("got %v, want %s", c.err, c.want)
		}
	}
}

// The corners by hand: Weak is low volts, high resistance and high draw, a
// load of resistance drawing most at its low end; Strong is the opposite.
func TestCornersTakeTheEndsTheyName(t *testing.T) {
	n := NewNetwork(copper)
	rail, plug := n.Node("12 V"), n.Node("plug")
	n.AddRail(Rail{Name: "12 V", Plus: rail, Minus: Return, Volts: Range{11, 12, 13}})
	n.AddContact(Contact{"blade", rail, plug, Range{0.1, 0.2, 0.3}})
	n.AddLoad(Load{Name: "drive", Plus: plug, Minus: Return, Kind: ConstantCurrent, Sustained: Range{1, 2, 3}})
	n.AddLoad(Load{Name: "fan", Plus: plug, Minus: Return, Kind: Resistance, Sustained: Range{10, 20, 40}})
	w := mustCompile(t, n).NewWorkspace()
	for corner, want := range map[Corner]float64{
		Nominal: (12 - 0.2*2) / (1 + 0.2/20), Weak: (11 - 0.3*3) / (1 + 0.3/10), Strong: (13 - 0.1*1) / (1 + 0.1/40),
	} {
		w.Assume(Sustained, corner)
		mustSolve(t, w)
		if got := w.Volts(plug); !within(got, want, 1e-12, 0) {
			t.Errorf("corner %d: %g V at the plug, by hand %g V", corner, got, want)
		}
	}
}

// A contact that may be as good as none drops next to nothing at its best.
func TestResistanceFromZeroIsHeld(t *testing.T) {
	n, _, plug := bench()
	end := n.Node("end")
	blade := n.AddContact(Contact{"blade", plug, end, Range{0, 0.001, 0.002}})
	n.AddLoad(Load{Name: "drive", Plus: end, Minus: Return, Kind: ConstantCurrent, Sustained: Exactly(2)})
	w := mustCompile(t, n).NewWorkspace()
	w.Assume(Sustained, Strong)
	mustSolve(t, w)
	if drop := w.Across(blade); drop <= 0 || drop > 1e-5 || !within(w.Amps(blade), 2, 1e-9, 0) {
		t.Errorf("the blade drops %g V at %g A", drop, w.Amps(blade))
	}
}
