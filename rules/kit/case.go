package kit

import (
	"iter"
	"strconv"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// LengthTolerance is how far a published length may be off where the part does
// not say. Makers print whole millimetres.
var LengthTolerance = Parameter{
	Name: "tolerance.length_mm", Unit: "mm", Default: 0.5, Least: 0, Greatest: 20,
	Purpose: "How far a published length may be off both ways where the document states no tolerance.",
	Source:  CommonPractice,
}

// PowerTolerance is how far a published power may be off where the part does not
// say, as a share.
var PowerTolerance = Parameter{
	Name: "tolerance.power_share", Unit: "share", Default: 0.05, Least: 0, Greatest: 1,
	Purpose: "How far a published power may be off both ways where the document states no tolerance, as a share of it.",
	Source:  CommonPractice,
}

// Kind is the kind of a part.
type Kind int

// Kinds of parts, in the order of the contract.
const (
	KindNone Kind = iota
	KindChassis
	KindBoard
	KindProcessor
	KindAirCooler
	KindLiquidLoop
	KindRadiator
	KindMemory
	KindCard
	KindSupply
	KindDrive
	KindFan
	KindCable
	KindRiser
	KindAccessory
	KindFastenerKit
)

// Item is one entry of a build: so many pieces of a part.
type Item struct {
	// ID is the item's name in the build.
	ID string
	// Kind is what the part is.
	Kind Kind
	// Count is how many pieces, at least 1.
	Count int
	// Part is the document of the part.
	Part *v1.Part

	path string // of the part, with the dot
}

// At returns the path of a field of the item's part.
func (it *Item) At(field string) Path { return Path{it.path, field} }

// Name is what people call the item: the part's name, else the item's id.
func (it *Item) Name() string {
	if n := it.Part.GetName(); n != "" {
		return n
	}
	return it.ID
}

// Case is one build before one pack's rules. It is not safe for use by several
// goroutines, and nothing taken from it may be kept after the judgement.
type Case struct {
	// Build is the document.
	Build *v1.Build
	// Workspace belongs to the pack: memory that its rules share while they judge
	// one case and use again for the next. It is nil at first, keeps what it held
	// when the next case begins, and must be written over before it is read.
	Workspace any

	request     *v1.CheckRequest
	items       []Item
	pack        *loadedPack
	rule        *loadedRule
	alternative int
	facts       []Fact
	provided    []Fact
	ledger      ledger
	scores      []score // of the alternatives judged so far
	chosen      []*Finding
	inputs      shelf[Input]
	paths       shelf[Path]
	look        packv1.Look
	summary     brief
}

// Fact is a number or structure that a pack worked out, encoded.
type Fact struct {
	Name  string
	Value []byte
}

// partPaths are "items[0].part.", "items[1].part.", ... as far as a build goes.
var partPaths = func() (paths [64]string) {
	for i := range paths {
		paths[i] = "items[" + strconv.Itoa(i) + "].part."
	}
	return paths
}()

func partPath(i int) string {
	if i < len(partPaths) {
		return partPaths[i]
	}
	return "items[" + strconv.Itoa(i) + "].part."
}

func (c *Case) open(request *v1.CheckRequest, facts []Fact) {
	c.request, c.Build, c.facts = request, request.GetBuild(), facts
	for i, item := range c.Build.GetItems() {
		count := 1
		if item.Count != nil {
			count = int(*item.Count)
		}
		c.items = append(c.items, Item{
			ID: item.GetId(), Kind: kindOf(item.Part), Count: count, Part: item.GetPart(), path: partPath(i),
		})
	}
}

func (c *Case) close() {
	c.request, c.Build, c.facts, c.provided, c.rule = nil, nil, nil, nil, nil
	clear(c.items)
	c.items = c.items[:0]
	c.inputs.clear()
	c.paths.clear()
}

// Items yields the build's items of one kind, in the document's order.
func (c *Case) Items(kind Kind) iter.Seq[*Item] {
	return func(yield func(*Item) bool) {
		for i := range c.items {
			if c.items[i].Kind == kind && !yield(&c.items[i]) {
				return
			}
		}
	}
}

// AllItems yields all items of the build, in the document's order.
func (c *Case) AllItems() iter.Seq[*Item] {
	return func(yield func(*Item) bool) {
		for i := range c.items {
			if !yield(&c.items[i]) {
				return
			}
		}
	}
}

// First returns the first item of one kind, or nil.
func (c *Case) First(kind Kind) *Item {
	for it := range c.Items(kind) {
		return it
	}
	return nil
}

// ItemByID returns the item of that name, or nil.
func (c *Case) ItemByID(id string) *Item {
	for i := range c.items {
		if c.items[i].ID == id {
			return &c.items[i]
		}
	}
	return nil
}

// Alternative is the number of the alternative that is being judged, 0 first.
func (c *Case) Alternative() int { return c.alternative }

// Alternatives is how many ways of judging the build have been judged to the end.
func (c *Case) Alternatives() int { return len(c.scores) }

// Tally counts the verdicts in one alternative that has been judged to the end,
// without the findings of overall rules.
func (c *Case) Tally(alternative int) Tally {
	s := c.scores[alternative]
	return Tally{Fails: s.fails, Unknowns: s.unknowns, Marginals: s.marginals}
}

// Tally is how many findings of one alternative came to each verdict but PASS.
type Tally struct{ Fails, Unknowns, Marginals int }

// Fact returns a fact of another pack. It is decoded anew at each call.
func (c *Case) Fact(name string) (*v1.Fact, bool) {
	encoded, ok := c.FactBytes(name)
	if !ok {
		return nil, false
	}
	fact := new(v1.Fact)
	if err := fact.UnmarshalVT(encoded); err != nil {
		panic("fact " + name + " cannot be read: " + err.Error())
	}
	return fact, true
}

// Wants reports whether the asker wants a fact that is worked out only then.
func (c *Case) Wants(name string) bool { return contains(c.request.GetWants(), name) }

// FactBytes returns a fact of another pack as an encoded slipfit.v1.Fact.
func (c *Case) FactBytes(name string) ([]byte, bool) {
	for i := range c.facts {
		if c.facts[i].Name == name {
			return c.facts[i].Value, true
		}
	}
	return nil, false
}

// Provide hands a fact on to packs that need it and to an asker who wants it.
// The fact bears its name, and may be written over afterwards.
func (c *Case) Provide(fact *v1.Fact) {
	value, err := fact.MarshalVT()
	if err != nil {
		panic("fact " + fact.GetName() + " cannot be encoded: " + err.Error())
	}
	c.provided = append(c.provided, Fact{fact.GetName(), value})
}

// number is the policy's value of a parameter.
func (c *Case) number(p *Parameter) float64 {
	for _, v := range c.request.GetPolicy() {
		if v.GetParameter() == p.Name {
			return v.GetValue()
		}
	}
	return p.Default
}

func kindOf(part *v1.Part) Kind {
	switch part.GetKind().(type) {
	case *v1.Part_Chassis:
		return KindChassis
	case *v1.Part_Board:
		return KindBoard
	case *v1.Part_Processor:
		return KindProcessor
	case *v1.Part_AirCooler:
		return KindAirCooler
	case *v1.Part_LiquidLoop:
		return KindLiquidLoop
	case *v1.Part_Radiator:
		return KindRadiator
	case *v1.Part_Memory:
		return KindMemory
	case *v1.Part_Card:
		return KindCard
	case *v1.Part_Supply:
		return KindSupply
	case *v1.Part_Drive:
		return KindDrive
	case *v1.Part_Fan:
		return KindFan
	case *v1.Part_Cable:
		return KindCable
	case *v1.Part_Riser:
		return KindRiser
	case *v1.Part_Accessory:
		return KindAccessory
	case *v1.Part_FastenerKit:
		return KindFastenerKit
	}
	return KindNone
}
