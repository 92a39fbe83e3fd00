package arrange

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"slipfit.example/rules/geometry"
)

// tenths are lengths in tenths of a millimetre: the generated problems stay on that grid, so that every computation on
// them is exact.
type tenths = int

// block is a box in tenths of a millimetre.
type block struct{ lo, hi [3]tenths }

func (b block) box(t testing.TB) geometry.Box {
	t.Helper()
	var min, max geometry.Vec
	for k := range min {
		min[k], max[k] = float64(b.lo[k])/10, float64(b.hi[k])/10
	}
	box, err := geometry.NewBox(min, max)
	if err != nil {
		t.Fatal(err)
	}
	return box
}

// plan is a generated problem in whole numbers. The constraint solver, the enumeration and the search are all given it,
// each in its own form.
type plan struct {
	vars  []planVar
	fixed []block
	// need is the required gap between two kinds of part; kind 0 is the fixed one.
	need      [4][4]tenths
	resources []Resource
	pins      []Choice
}

type planVar struct {
	name    string
	when    []Condition
	key     string
	options []planOption
}

type planOption struct {
	name   string
	kind   int
	blocks []block
	limit  tenths
	// limited tells that the limit is there.
	limited bool
	// net is the use of each resource less what is given.
	net  []int
	area int64
}

func kindName(kind int) string { return [...]string{"frame", "board", "fan", "supply"}[kind] }

// problem turns the plan into a problem of the package. Part names carry the kind in front, so that the required gap can
// be read off them.
func (p *plan) problem(t testing.TB) *Problem {
	t.Helper()
	out := &Problem{Resources: p.resources, Pins: p.pins}
	for _, b := range p.fixed {
		out.Fixed = append(out.Fixed, geometry.Solid{Name: "0 frame", Pieces: []geometry.Piece{{Box: b.box(t)}}})
	}
	for _, v := range p.vars {
		nv := Variable{Name: v.name, When: v.when, Interchangeable: v.key}
		for _, o := range v.options {
			no := Option{Name: o.name, FanArea: o.area}
			if len(o.blocks) > 0 {
				s := geometry.Solid{Name: fmt.Sprintf("%d %s", o.kind, v.name)}
				for _, b := range o.blocks {
					s.Pieces = append(s.Pieces, geometry.Piece{Box: b.box(t)})
				}
				no.Solids = []geometry.Solid{s}
			}
			if o.limited {
				no.Limits = []Limit{{"height", float64(o.limit) / 10}}
			}
			for r, n := range o.net {
				if n > 0 {
					no.Uses = append(no.Uses, Amount{p.resources[r].Name, n})
				} else if n < 0 {
					no.Gives = append(no.Gives, Amount{p.resources[r].Name, -n})
				}
			}
			nv.Options = append(nv.Options, no)
		}
		out.Variables = append(out.Variables, nv)
	}
	need := p.need
	out.Required = func(a, b *Body) (float64, bool) {
		return float64(need[a.Solid[0]-'0'][b.Solid[0]-'0']) / 10, true
	}
	return out
}

// randomPlan draws an enclosure: one to three layouts, each with boards at several offsets, a supply, fans in mounts, two
// interchangeable fans, brackets that can be bought and screws that cannot. Crowded enclosures are seldom feasible.
func randomPlan(r *rand.Rand, crowded bool) *plan {
	p := &plan{}
	for i := range p.need {
		for j := range i + 1 {
			g := []tenths{0, 0, 5, 20}[r.IntN(4)]
			p.need[i][j], p.need[j][i] = g, g
		}
	}
	p.resources = []Resource{
		{Name: "bracket", Stock: r.IntN(2), Buyable: true, Price: int64(100 + r.IntN(900))},
		{Name: "screw", Stock: 4 + r.IntN(8)},
		{Name: "cable", Buyable: true, Price: 250},
	}
	room := tenths(2200)
	if crowded {
		room = 800
	}
	p.fixed = append(p.fixed, randomBlock(r, room, 200))
	layouts := planVar{name: "layout"}
	for l := range 1 + r.IntN(3) {
		name := fmt.Sprintf("L%d", l)
		layouts.options = append(layouts.options, planOption{name: name, blocks: []block{randomBlock(r, room, 300)}, net: p.net(r, -2, 1)})
		when := []Condition{{"layout", []string{name}}}
		p.vars = append(p.vars, p.randomVar(r, name+" board", 1, 1+r.IntN(4), room, 900, when),
			p.randomVar(r, name+" supply", 3, 1+r.IntN(3), room, 600, when))
		for f := range 1 + r.IntN(3) {
			v := p.randomVar(r, fmt.Sprintf("%s fan %d", name, f), 2, 1+r.IntN(2), room, 400, when)
			p.vars = append(p.vars, v.orNone())
		}
		if r.IntN(2) == 0 {
			// A duct exists only with the first fan, its grille only with one of the ducts: conditions on conditions.
			fan := p.vars[len(p.vars)-1]
			duct := p.randomVar(r, name+" duct", 2, 2, room, 200, []Condition{{fan.name, []string{fan.options[0].name}}})
			grille := p.randomVar(r, name+" a grille", 0, 1+r.IntN(2), room, 100, []Condition{{duct.name, []string{duct.options[1].name}}, {"layout", []string{name}}})
			p.vars = append(p.vars, duct.orNone(), grille)
		}
		if r.IntN(2) == 0 {
			a := p.randomVar(r, name+" twin 1", 2, 2+r.IntN(2), room, 300, when)
			a.key = name + " twins"
			b := a
			b.name = name + " twin 2"
			p.vars = append(p.vars, a, b)
		}
	}
	p.vars = append(p.vars, layouts)
	r.Shuffle(len(p.vars), func(i, j int) { p.vars[i], p.vars[j] = p.vars[j], p.vars[i] })
	if r.IntN(3) == 0 {
		p.pins = []Choice{{"layout", layouts.options[r.IntN(len(layouts.options))].name}}
	}
	return p
}

func (p *plan) net(r *rand.Rand, low, high int) []int {
	net := make([]int, len(p.resources))
	for i := range net {
		net[i] = low + r.IntN(high-low+1)
	}
	return net
}

func (p *plan) randomVar(r *rand.Rand, name string, kind, options int, room, edge tenths, when []Condition) planVar {
	v := planVar{name: name, when: when}
	for o := range options {
		opt := planOption{name: fmt.Sprintf("%s option %d", kindName(kind), o), kind: kind, net: p.net(r, -1, 3)}
		for range 1 + r.IntN(2) {
			opt.blocks = append(opt.blocks, randomBlock(r, room, edge))
		}
		if r.IntN(3) == 0 {
			opt.limited, opt.limit = true, r.IntN(200)-20
		}
		if kind == 2 {
			opt.area = int64(1000 * (1 + r.IntN(4)))
		}
		v.options = append(v.options, opt)
	}
	return v
}

// orNone lets a variable stay empty.
func (v planVar) orNone() planVar {
	v.options = append(v.options, planOption{name: "none", kind: 2, net: make([]int, len(v.options[0].net))})
	return v
}

func randomBlock(r *rand.Rand, room, edge tenths) block {
	var b block
	for k := range b.lo {
		b.lo[k] = r.IntN(room)
		b.hi[k] = b.lo[k] + 20 + r.IntN(edge)
	}
	return b
}
