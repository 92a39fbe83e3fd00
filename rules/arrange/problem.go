package arrange

import (
	"fmt"
	"math"

	"slipfit.example/rules/geometry"
)

// MaxOptions is the largest number of options that one problem may have, all variables together. The table of pairs
// grows with its square: 16 MB at the limit.
const MaxOptions = 1024

// MaxPieces is the largest number of boxes of one problem, fixed parts included. All pairs of them may be measured.
const MaxPieces = 4096

// MaxCount is the largest count of a resource that an amount or a stock may name.
const MaxCount = 1_000_000

// Problem is what the search decides. Names are compared byte by byte; no two variables, no two options of a variable
// and no two resources may share one.
type Problem struct {
	Variables []Variable
	// Fixed parts are there in every arrangement.
	Fixed     []geometry.Solid
	Resources []Resource
	// Pins hold variables to one option, if they are active at all.
	Pins []Choice
	// Required returns the gap in mm that two pieces have to keep, and false if they may share room. It must be
	// symmetric. Pieces of one part are never asked about. Nil means geometry.Purpose.Excludes with a gap of 0 mm.
	Required func(a, b *Body) (mm float64, ok bool)
	// Basis is the figure of a gap that counts: nominal unless set otherwise.
	Basis geometry.Basis
}

// Body is a piece in its place in the problem.
type Body struct {
	// Variable and Option are empty for a fixed part.
	Variable, Option string
	// Solid is the name of the part.
	Solid string
	Piece *geometry.Piece
}

// Variable is one decision.
type Variable struct {
	Name string
	// When lists the conditions under which the variable exists at all: all of them have to hold. An inactive variable
	// takes no option and does nothing.
	When    []Condition
	Options []Option
	// Interchangeable is a key that equal variables share, such as those of three equal fans. Arrangements that differ
	// only by who of them takes which option are counted and listed once. The options must agree in all but the names of
	// their parts. Empty means that the variable is one of its kind.
	Interchangeable string
}

// Condition holds if the named variable is active and takes one of the options.
type Condition struct {
	Variable string
	Options  []string
}

// Option is one way to decide a variable.
type Option struct {
	Name string
	// Solids are the parts as this option places them.
	Solids []geometry.Solid
	// Limits are requirements on this option alone.
	Limits []Limit
	// Uses and Gives are what the option takes of resources and what it brings along.
	Uses, Gives []Amount
	// FanArea is the fan area in mm2 that the option adds.
	FanArea int64
}

// Limit is a requirement that has been measured already: what is left of a published limit, in mm, negative if exceeded.
type Limit struct {
	Name   string
	Margin float64
}

// Amount is a count of a resource.
type Amount struct {
	Resource string
	Count    int
}

// Resource is something that options share: mount places, brackets, cables.
type Resource struct {
	Name string
	// Stock is what is there from the start.
	Stock int
	// Buyable means that what is missing is bought at Price each, in the smallest unit of the currency. What is missing
	// of a resource that is not buyable rules an arrangement out.
	Buyable bool
	Price   int64
}

// Choice is an option taken for a variable.
type Choice struct{ Variable, Option string }

// refuse returns an error of this package.
func refuse(format string, args ...any) error { return fmt.Errorf("arrange: "+format, args...) }

// check refuses what the model cannot be built on. Names that refer to others are resolved later, by the model.
func (p *Problem) check() error {
	total, pieces := 0, piecesIn(p.Fixed)
	seen := map[string]bool{}
	for i := range p.Variables {
		v := &p.Variables[i]
		if v.Name == "" || seen[v.Name] {
			return refuse("variable %d has the name %q, give every variable a name of its own", i, v.Name)
		}
		seen[v.Name] = true
		if len(v.Options) == 0 {
			return refuse("variable %q has no option, give it one (an option without parts stands for leaving it out)", v.Name)
		}
		total += len(v.Options)
		for j := range v.Options {
			pieces += piecesIn(v.Options[j].Solids)
		}
		if err := v.check(); err != nil {
			return err
		}
	}
	if total > MaxOptions {
		return refuse("the problem has %d options, leave out some: at most %d can be searched", total, MaxOptions)
	}
	if pieces > MaxPieces {
		return refuse("the problem has %d boxes, simplify some parts: at most %d can be held against each other", pieces, MaxPieces)
	}
	names := map[string]bool{}
	for i := range p.Resources {
		r := &p.Resources[i]
		if r.Name == "" || names[r.Name] {
			return refuse("resource %d has the name %q, give every resource a name of its own", i, r.Name)
		}
		names[r.Name] = true
		if r.Stock < 0 || r.Stock > MaxCount || r.Price < 0 || r.Price > math.MaxInt32*int64(100) {
			return refuse("resource %q has a stock of %d at a price of %d, give figures from 0 up to %d pieces", r.Name, r.Stock, r.Price, MaxCount)
		}
	}
	if err := checkSolids(p.Fixed); err != nil {
		return refuse("the fixed parts: %w", err)
	}
	return nil
}

func piecesIn(solids []geometry.Solid) int {
	n := 0
	for i := range solids {
		n += len(solids[i].Pieces)
	}
	return n
}

func (v *Variable) check() error {
	seen := map[string]bool{}
	for i := range v.Options {
		o := &v.Options[i]
		if o.Name == "" || seen[o.Name] {
			return refuse("option %q of variable %q is not named or named twice, give every option of the variable a name of its own", o.Name, v.Name)
		}
		seen[o.Name] = true
		if o.FanArea < 0 || o.FanArea > 1e12 {
			return refuse("option %q of variable %q adds a fan area of %d mm2, give one from 0 to 1e12 mm2", o.Name, v.Name, o.FanArea)
		}
		for _, l := range o.Limits {
			if l.Name == "" || !(math.Abs(l.Margin) <= geometry.Reach) {
				return refuse("option %q of variable %q keeps the limit %q by %v mm, give the limit a name and a margin within %v mm", o.Name, v.Name, l.Name, l.Margin, geometry.Reach)
			}
		}
		if err := checkSolids(o.Solids); err != nil {
			return refuse("option %q of variable %q: %w", o.Name, v.Name, err)
		}
	}
	return nil
}

// checkSolids refuses parts without a name and boxes that never went through a constructor.
func checkSolids(solids []geometry.Solid) error {
	for i := range solids {
		s := &solids[i]
		if s.Name == "" {
			return fmt.Errorf("part %d has no name, give it one: conflicts are told by it", i)
		}
		for j := range s.Pieces {
			if s.Pieces[j].Box.Volume() <= 0 {
				return fmt.Errorf("box %d of part %q has no volume, give it a size above zero along every axis", j, s.Name)
			}
		}
	}
	return nil
}
