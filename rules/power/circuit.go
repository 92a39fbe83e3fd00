package power

import (
	"strconv"
	"sync"

	"slipfit.example/rules/electric"
	"slipfit.example/rules/kit"
)

// circuit is the wiring of a build, ready to be solved for any draws of its
// parts. It does not change and may be shared: items are kept by their place
// among the survey's.
type circuit struct {
	feeds     *feeds
	legs      [][railCount + 1]leg // by feed
	sites     []site
	consumers []consumer
	reach     []uint64 // by feed, the sites that hang on it
	supplyOf  []int    // by strand, the item that the cable belongs to
	itemOf    []int    // by feed, the item that is fed; -1 for an adapter's start
	rails     [railCount]electric.Element
	used      [railCount]bool
	volts     [railCount]electric.Range
	starts    [][railCount + 1]electric.Node // by strand, where it begins
	ends      [][railCount + 1]electric.Node // by feed, what it is plugged into
	foreign   []float64                      // by strand, the share of its drop that the supply's guide does not cover
	net       *electric.Circuit
	solvers   sync.Pool
}

// leg is one rail's way through a plug, from the plug before it or the supply.
type leg struct {
	wire, contact   electric.Element
	wires, contacts int // 0 where the rail does not go this way
}

// carriers is how many contacts share the current: a contact whose wire is
// missing carries none, and where fewer wires than contacts end in a plug for
// drives, they are joined in it.
func (l leg) carriers(plug string) int {
	if chained(plug) {
		return l.contacts
	}
	return min(l.contacts, l.wires)
}

// siteKind is what a site is.
type siteKind uint8

const (
	boardSite     siteKind = iota // what the main connector feeds, slots and headers included
	processorSite                 // the processor's converter
	socketSite                    // one socket of a card
	driveSite                     // one drive
)

// site is a place where current is drawn: the points that plugs bring the rails to.
type site struct {
	kind                siteKind
	item, piece, number int
	nodes               [railCount + 1]electric.Node // 0 where there is none
}

// consumer is one load of the network: a share of what an item draws.
type consumer struct {
	item, site, rail int
	share            float64 // of the item's draw
	slot, socket     bool    // one side of a card that has sockets of its own
	alone            bool    // the card's slot has no feed
	part             float64 // of what the card's sockets bring, for one of them
	socketsW         float64 // what all sockets of one piece may bring
	first            int     // of the consumers that draw at the same point
	element          electric.Element
}

// builder puts a circuit together.
type builder struct {
	w     *wiring
	items []*kit.Item
	c     *circuit
	n     *electric.Network
	sites []int // by feed, -1 for an adapter's start
	rails [railCount]electric.Node
	wants [][railCount + 1]bool // by feed
}

// buildCircuit models the wiring that a plan comes to. It is nil where nothing is
// fed or the network cannot be set up.
func buildCircuit(w *wiring, items []*kit.Item, supply *kit.Item) *circuit {
	f, ok := w.feedsOf()
	if !ok || len(f.all) == 0 {
		return nil
	}
	b := &builder{w: w, items: items, n: electric.NewNetwork(copper),
		c: &circuit{feeds: f, legs: make([][railCount + 1]leg, len(f.all)), itemOf: make([]int, len(f.all)), reach: make([]uint64, len(f.all))}}
	for i := range f.strands {
		b.c.supplyOf = append(b.c.supplyOf, b.place(f.strands[i].lead.item))
	}
	sites := make([]int, len(f.all))
	for i := range f.all {
		sites[i] = b.siteOf(&f.all[i])
		b.c.itemOf[i] = -1
		if sites[i] >= 0 {
			b.c.itemOf[i] = b.c.sites[sites[i]].item
		}
	}
	for i, s := range sites {
		for at := i; s >= 0 && at >= 0; at = f.strands[f.all[at].cable].up {
			b.c.reach[at] |= 1 << s
		}
	}
	b.sites = sites
	b.n.Grow(8*len(f.all), 10*len(f.all)) // some five rails each, with a wire and contacts
	b.consume()
	b.tieGrounds()
	b.addRails(railVoltsOf(supply))
	b.markWanted()
	b.lay()
	b.load()
	net, err := b.n.Compile()
	if err != nil {
		return nil
	}
	b.c.net = net
	for i := range f.strands {
		b.c.foreign = append(b.c.foreign, b.foreignShare(&f.strands[i], i))
	}
	return b.c
}

// place is an item's place among the survey's.
func (b *builder) place(it *kit.Item) int {
	for i := range b.items {
		if b.items[i] == it {
			return i
		}
	}
	return -1
}

// siteOf finds the site that a feed leads to, or makes it; -1 for an adapter's
// start.
func (b *builder) siteOf(f *feed) int {
	if f.need < 0 {
		return -1
	}
	it := b.w.needs[f.need].item
	s := site{kind: boardSite, item: b.place(it), piece: f.piece}
	switch {
	case it.Kind == kit.KindCard:
		s.kind, s.number = socketSite, 100*f.need+f.number
	case it.Kind == kit.KindDrive:
		s.kind = driveSite
	case onlyTwelve(f.socket) && !highPower(f.socket) && len(f.socket) > 3 && f.socket[:3] == "cpu":
		s.kind = processorSite
	}
	for i := range b.c.sites {
		if o := &b.c.sites[i]; o.kind == s.kind && o.item == s.item && o.piece == s.piece && o.number == s.number {
			return i
		}
	}
	b.c.sites = append(b.c.sites, s)
	return len(b.c.sites) - 1
}

// tieGrounds gives every site its ground. Board and processor have one plane, and
// a card's lies on it through the slot's many ground contacts; drives have only
// their cable.
func (b *builder) tieGrounds() {
	var plane electric.Node
	for i := range b.c.sites {
		if s := &b.c.sites[i]; (s.kind == boardSite || s.kind == processorSite) && b.drawnFrom(i) {
			if plane == 0 {
				plane = b.n.Node("board ground")
			}
			s.nodes[ground] = plane
		}
	}
	for i := range b.c.sites {
		s := &b.c.sites[i]
		if s.nodes[ground] != 0 || !b.drawnFrom(i) {
			continue
		}
		s.nodes[ground] = b.n.Node("ground " + strconv.Itoa(i))
		if s.kind == socketSite && plane != 0 {
			b.n.AddContact(electric.Contact{Name: "ground of slot " + strconv.Itoa(i), From: s.nodes[ground], To: plane, Ohms: ohmsSlotGround})
		}
	}
}

// drawnFrom reports whether anything draws at a site.
func (b *builder) drawnFrom(site int) bool {
	for i := range b.c.consumers {
		if b.c.consumers[i].site == site {
			return true
		}
	}
	return false
}

// ohmsSlotGround is the way from a card's ground to the board's: some forty
// contacts of a x16 slot side by side and the copper between. Common practice, no
// source.
var ohmsSlotGround = electric.Range{Low: 0.001, Nominal: 0.002, High: 0.004}

// addRails adds the supply's rails that somebody draws from.
func (b *builder) addRails(volts [railCount]electric.Range) {
	b.c.volts = volts
	for r := range railCount {
		if b.c.used[r] {
			b.rails[r] = b.n.Node(railNames[r])
			b.c.rails[r] = b.n.AddRail(electric.Rail{Name: railNames[r], Plus: b.rails[r], Minus: electric.Return, Volts: volts[r]})
		}
	}
}
