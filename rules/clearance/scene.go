package clearance

import (
	"fmt"
	"strings"
	"sync"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// keep holds what parts have to keep from each other, in mm, by the policy.
type keep struct {
	tolerance              float64 // of published lengths
	touch, vibration, plug float64
	hand                   float64
	breath                 float64 // before what draws air
	play                   float64 // of a card in a rigid riser's socket
}

// seatedItem is an item of a build as the search sees it.
type seatedItem struct {
	id    string
	name  string
	count int
	part  *v1.Part
}

// scene is a build in one layout of an enclosure on its way to becoming a problem
// for the search.
type scene struct {
	enclosure *enclosure
	shape     *layoutShape
	items     []seatedItem
	pins      []*v1.Placement
	keep      keep
	settings  solids.Settings

	things    []*thing
	of        map[*geometry.Piece]*thing
	variables []variable
	fixed     []geometry.Solid
	stock     map[string]int
	prices    prices
	tokens    []string // resources in the order in which they came up
	single    []string // places that take one thing
	lacks     []lack
	options   int
	cut       bool // choices were left out because there are too many
}

// thing is something in a place: a part as one option places it, or an element of
// the enclosure.
type thing struct {
	label   string // unique in the problem for one thing in all its places
	group   string // the same for equal fans, which are one thing to a conflict; else the label
	item    int    // by its place in the build, -1 for an element
	piece   int
	element *element
	pose    geometry.Pose
	mount   int  // by number, -1 for none
	aboard  bool // on the board: its makers have settled what lies beside it
	cooler  bool
	card    bool
	riser   bool          // rigid, in a slot of the board
	socket  geometry.Pose // of a riser: where the frame of its card has to be
	serves  [2]int        // of a riser: the card by its item and piece
	frame   bool          // of standard size, brought to its walls by its mount
	spins   bool
	outward bool // on the outer side of its plate
}

// variable is a decision of the search with what its options stand for.
type variable struct {
	arrange.Variable
	places []placing // one for each option
}

// placing is what one option places.
type placing struct {
	things []*thing // one for each solid of the option
	seats  []seatOf
}

// seatOf is where one piece goes.
type seatOf struct {
	item, piece, mount int
	pose               int
	offsets            []float64
	position           int
	side               string
	outside            *bool // fans of a radiator between it and the plate
	fittings           geometry.Face
	slides             bool    // a radiator that has room to, along its row
	slide              float64 // by how much, mm
	flow               v1.Flow
	guard              string // side on which the blades lie open
	placed             geometry.Pose
}

// lack is an item that has no place in the geometry and why.
type lack struct {
	item    int
	reason  string
	missing []string // figures that would give it boxes
	out     bool     // the layout has mounts of its kind, and none of them takes it
}

// maxOptions keeps a problem within what the search takes.
const maxOptions = arrange.MaxOptions - 64

// owners are maps of scenes that are done with, emptied for the next one.
var owners = sync.Pool{New: func() any { return make(map[*geometry.Piece]*thing, 256) }}

func newScene(e *enclosure, shape *layoutShape, items []seatedItem, pins []*v1.Placement, k keep) *scene {
	s := &scene{enclosure: e, shape: shape, items: items, pins: pins, keep: k,
		of: owners.Get().(map[*geometry.Piece]*thing), stock: map[string]int{}}
	s.settings = solids.Settings{ToleranceMM: k.tolerance, Plug: s.plugOf}
	s.prices = pricesOf(e.part, items)
	return s
}

// build fills in the problem.
func (s *scene) build() *arrange.Problem {
	s.addElements()
	s.addStock()
	s.addBoard()
	s.addSupplies()
	s.addRadiatorsAndFans()
	s.addDrives()
	s.addAccessories()
	p := &arrange.Problem{Fixed: s.fixed, Required: s.required}
	for i := range s.variables {
		v := s.variables[i].Variable
		if s.cut {
			v.Interchangeable = "" // equal pieces may have lost unequal places
		}
		p.Variables = append(p.Variables, v)
	}
	for _, token := range s.tokens {
		p.Resources = append(p.Resources, arrange.Resource{Name: token, Stock: s.stock[token], Buyable: true, Price: s.prices.of(token)})
	}
	for _, place := range s.single {
		p.Resources = append(p.Resources, arrange.Resource{Name: place, Stock: 1})
	}
	return p
}

// addElements turns the enclosure into fixed parts.
func (s *scene) addElements() {
	off, _ := geometry.Limits(-s.keep.tolerance, s.keep.tolerance)
	s.fixed = make([]geometry.Solid, 0, len(s.enclosure.solid)+len(s.shape.solid))
	for _, list := range [2][]element{s.enclosure.solid, s.shape.solid} {
		for i := range list {
			e := &list[i]
			label := "obstruction " + e.id
			switch {
			case e.panel != nil:
				label = "panel " + e.id
			case e.outer:
				label = "outside"
			}
			t := &thing{label: label, item: -1, element: e, mount: -1}
			piece := geometry.Piece{Box: e.box, Name: e.id}
			for f := range piece.Deviations {
				piece.Deviations[f] = off
			}
			s.fixed = append(s.fixed, geometry.Solid{Name: t.label, Pieces: []geometry.Piece{piece}})
			s.note(t, &s.fixed[len(s.fixed)-1])
		}
	}
}

// note remembers whose the pieces of a solid are.
func (s *scene) note(t *thing, solid *geometry.Solid) {
	s.things = append(s.things, t)
	for i := range solid.Pieces {
		s.of[&solid.Pieces[i]] = t
	}
}

// addStock counts what lies in the boxes of the build.
func (s *scene) addStock() {
	for i := range s.items {
		it := &s.items[i]
		for _, p := range it.part.GetKit().GetPieces() {
			n := 1
			if p.Count != nil {
				n = int(*p.Count)
			}
			s.stock[p.GetProvides()] += it.count * n
		}
		for _, token := range it.part.GetAccessory().GetProvides() {
			s.stock[token] += it.count
		}
	}
	for token, n := range s.stock {
		s.stock[token] = min(n, arrange.MaxCount)
	}
}

// uses turns tokens into amounts and makes resources of them.
func (s *scene) uses(lists ...[]string) (out []arrange.Amount) {
	for _, list := range lists {
		for _, token := range list {
			if !contains(s.tokens, token) {
				s.tokens = append(s.tokens, token)
			}
			out = append(out, arrange.Amount{Resource: token, Count: 1})
		}
	}
	return out
}

// takes makes a resource of a place that takes one thing.
func (s *scene) takes(place string) arrange.Amount {
	if !contains(s.single, place) {
		s.single = append(s.single, place)
	}
	return arrange.Amount{Resource: place, Count: 1}
}

// label names one thing of an item in the problem.
func (s *scene) label(item, piece int, of string) string {
	it := &s.items[item]
	text := it.id
	if it.count > 1 {
		text = fmt.Sprintf("%s %d", it.id, piece+1)
	}
	if of != "" {
		text += " " + of
	}
	return text
}

// begin starts a variable. The number orders the variables of the search.
func (s *scene) begin(order int, name string) *variable {
	return &variable{Variable: arrange.Variable{Name: fmt.Sprintf("%02d %s", order, name)}}
}

// placed is a solid in its place and the thing that it is there.
type placed struct {
	thing *thing
	solid geometry.Solid
}

// add appends an option to a variable. It drops the option, and notes that it did,
// where the search could not take any more.
func (s *scene) add(v *variable, name string, parts []placed, seats []seatOf, limits []arrange.Limit, uses []arrange.Amount) {
	if s.options >= maxOptions {
		s.cut = true
		return
	}
	s.options++
	o := arrange.Option{Name: name, Solids: make([]geometry.Solid, len(parts)), Limits: limits, Uses: uses}
	place := placing{things: make([]*thing, len(parts)), seats: seats}
	for i := range parts {
		o.Solids[i], place.things[i] = parts[i].solid, parts[i].thing
		o.Solids[i].Name = parts[i].thing.name()
		s.note(parts[i].thing, &o.Solids[i])
	}
	v.Options = append(v.Options, o)
	v.places = append(v.places, place)
}

// name is what the search calls a thing.
func (t *thing) name() string {
	if t.group != "" {
		return t.group
	}
	return t.label
}

// end keeps a variable that has an option; an item without any is told.
func (s *scene) end(v *variable, item int, reason string) {
	if len(v.Options) > 0 {
		s.variables = append(s.variables, *v)
		return
	}
	if s.cut {
		s.lack(item, "there are more places than can be searched", nil)
		return
	}
	s.leaveOut(item, reason)
}

// optionName names an option so that the order of names is the order of the document.
func optionName(numbers ...int) string {
	var b strings.Builder
	for i, n := range numbers {
		if i > 0 {
			b.WriteByte('.')
		}
		fmt.Fprintf(&b, "%03d", n)
	}
	return b.String()
}
