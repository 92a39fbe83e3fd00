package electric

import (
	"slices"
	"strconv"
)

// Node is a point of a network where branches meet. [Return] is the return
// terminal of the first supply, to which all voltages refer.
type Node int32

// Return is the node at zero volts: the return (common) terminal of the first
// supply. It exists in every network.
const Return Node = 0

// Element is the handle of a rail, conductor, contact or load in its network.
type Element int32

// Rail is one output of a supply: a fixed voltage behind an internal
// resistance.
type Rail struct {
	// Name is what errors call the rail, required.
	Name string
	// Plus and Minus are the rail's terminals. A negative rail has its Plus on
	// the return.
	Plus, Minus Node
	// Volts is the voltage between the terminals without load, above zero.
	Volts Range
	// Ohms is the internal resistance; zero for a supply that holds its
	// voltage at the terminals, which regulated rails do.
	Ohms Range
	// LimitA is the current in amperes above which the supply protects
	// itself; zero when it has no limit of its own.
	LimitA float64
}

// Conductor is a wire, or a run of equal wires, between two nodes.
type Conductor struct {
	Name     string
	From, To Node
	Wire
}

// Contact is one mated contact, or any other plain resistance in a lead: a
// fuse, a measuring shunt, a fan's series resistor.
type Contact struct {
	Name     string
	From, To Node
	// Ohms is the resistance of this one contact.
	Ohms Range
}

// Harness is one direction of a cable whose wires each end in a contact of
// their own, so that every contact finds its own share of the current.
type Harness struct {
	Name     string
	From, To Node
	// Wire describes one wire; its Count is the number of wires that have a
	// contact each.
	Wire
	// PlugOhms is the resistance of each contact at the To end.
	PlugOhms Range
	// EachPlugOhms, when it is given, holds one resistance for each contact
	// at the To end and replaces PlugOhms.
	EachPlugOhms []Range
	// SocketOhms is the resistance of each contact at the From end of a
	// detachable cable; nil for a fixed one.
	SocketOhms *Range
}

// HarnessElements are the handles of a harness, one entry for each wire.
type HarnessElements struct {
	Sockets []Element // empty for a fixed cable
	Wires   []Element
	Plugs   []Element
}

// Adapter is an extension, a splitter or one link of a daisy chain: fed at In,
// giving on at each of Outs through wires of its own.
type Adapter struct {
	Name string
	In   Node
	Outs []Node
	Wire
}

// LoadKind says which quantity of a load stays the same when its voltage
// changes. The zero LoadKind is refused.
type LoadKind uint8

// The kinds of load, with the unit of their figures.
const (
	// ConstantPower is a load behind a converter of its own: figures in watts.
	ConstantPower LoadKind = iota + 1
	// ConstantCurrent draws the same current at any voltage: figures in
	// amperes.
	ConstantCurrent
	// Resistance draws in proportion to its voltage: figures in ohms.
	Resistance
)

// Operation is what the loads are doing.
type Operation uint8

// The three operations that a load has figures for.
const (
	Idle      Operation = iota // powered, nothing to do
	Sustained                  // the most that lasts a second or more
	Excursion                  // the short peak above it
)

// Load is what draws current: a processor's converter, a card, a drive, a fan.
type Load struct {
	Name        string
	Plus, Minus Node
	Kind        LoadKind
	// Idle, Sustained and Excursion are in watts, amperes or ohms by Kind,
	// rising in what they draw. A zero Excursion means none above Sustained;
	// a zero Idle of a Resistance means the same as Sustained.
	Idle, Sustained, Excursion Range
}

// elementKind tells the four elements apart.
type elementKind uint8

const (
	railElement elementKind = iota
	conductorElement
	contactElement
	loadElement
)

func (k elementKind) String() string {
	return [...]string{"rail", "cable", "contact", "load"}[k]
}

// element is the common form of all elements: a branch from a to b.
type element struct {
	kind elementKind
	load LoadKind
	name string
	a, b Node
	ohms Range // internal, wire, contact resistance
	emf  Range // rails
	fig  [3]Range
	wire Wire
	lim  float64
}

// adapterLeg is the directed edge that one leg of an adapter makes.
type adapterLeg struct {
	name    string
	in, out Node
}

// Network collects the elements of a build's wiring. Add everything, then
// Compile. What is added wrongly is reported by Compile, all at once.
type Network struct {
	metal    Metal
	nodes    []string
	elements []element
	legs     []adapterLeg
	faults   []error
}

// NewNetwork starts a network whose wires are of the metal. Its first node is
// [Return].
func NewNetwork(metal Metal) *Network {
	return &Network{metal: metal, nodes: []string{"return"}}
}

// Node adds a node. The name is for errors only and need not be unique.
func (n *Network) Node(name string) Node {
	n.nodes = append(n.nodes, name)
	return Node(len(n.nodes) - 1)
}

// Grow makes room for so many more nodes and elements, which saves time where they are
// many.
func (n *Network) Grow(nodes, elements int) {
	n.nodes, n.elements = slices.Grow(n.nodes, nodes), slices.Grow(n.elements, elements)
}

func (n *Network) add(e element) Element {
	n.elements = append(n.elements, e)
	return Element(len(n.elements) - 1)
}

// AddRail adds a rail. Its current counts positive out of Plus.
func (n *Network) AddRail(r Rail) Element {
	return n.add(element{kind: railElement, name: r.Name, a: r.Plus, b: r.Minus, emf: r.Volts, ohms: r.Ohms, lim: r.LimitA})
}

// AddConductor adds a conductor. Its current counts positive from From to To.
func (n *Network) AddConductor(c Conductor) Element {
	return n.add(element{kind: conductorElement, name: c.Name, a: c.From, b: c.To, wire: c.Wire})
}

// AddContact adds a contact. Its current counts positive from From to To.
func (n *Network) AddContact(c Contact) Element {
	return n.add(element{kind: contactElement, name: c.Name, a: c.From, b: c.To, ohms: c.Ohms})
}

// AddLoad adds a load. Its current counts positive from Plus to Minus.
func (n *Network) AddLoad(l Load) Element {
	return n.add(element{kind: loadElement, load: l.Kind, name: l.Name, a: l.Plus, b: l.Minus,
		fig: [3]Range{l.Idle, l.Sustained, l.Excursion}})
}

// AddHarness adds every wire of a harness with its contacts, and the nodes
// between them.
func (n *Network) AddHarness(h Harness) HarnessElements {
	var out HarnessElements
	if h.Count < 1 || (h.EachPlugOhms != nil && len(h.EachPlugOhms) != h.Count) {
		n.faults = append(n.faults, inputErrorf("cable", h.Name,
			"has %d wires and %d plug contacts: give one contact resistance for each wire", h.Count, len(h.EachPlugOhms)))
		return out
	}
	one := h.Wire
	one.Count = 1
	for i := range h.Count {
		name := h.Name + ", wire " + strconv.Itoa(i+1)
		from := h.From
		if h.SocketOhms != nil {
			from = n.Node(name + ", socket end")
			out.Sockets = append(out.Sockets, n.AddContact(Contact{name + ", socket", h.From, from, *h.SocketOhms}))
		}
		plug := n.Node(name + ", plug end")
		out.Wires = append(out.Wires, n.AddConductor(Conductor{name, from, plug, one}))
		ohms := h.PlugOhms
		if h.EachPlugOhms != nil {
			ohms = h.EachPlugOhms[i]
		}
		out.Plugs = append(out.Plugs, n.AddContact(Contact{name + ", plug", plug, h.To, ohms}))
	}
	return out
}

// AddAdapter adds one conductor for each of the adapter's outlets and returns
// them in the order of Outs.
func (n *Network) AddAdapter(a Adapter) []Element {
	if len(a.Outs) == 0 {
		n.faults = append(n.faults, inputErrorf("adapter", a.Name, "has no outlet: give the nodes that it feeds"))
		return nil
	}
	legs := make([]Element, len(a.Outs))
	for i, out := range a.Outs {
		name := a.Name
		if len(a.Outs) > 1 {
			name = a.Name + ", leg " + strconv.Itoa(i+1)
		}
		legs[i] = n.AddConductor(Conductor{name, a.In, out, a.Wire})
		n.legs = append(n.legs, adapterLeg{a.Name, a.In, out})
	}
	return legs
}
