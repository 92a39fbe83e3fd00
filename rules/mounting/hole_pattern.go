package mounting

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
)

var holePlay = kit.Parameter{
	Name: "mounting.hole-pattern.play_mm", Unit: "mm", Default: 1, Least: 0, Greatest: 10,
	Purpose: "How far a hole of the part and one of its mount may lie apart for a screw to go through both.",
	Source:  kit.CommonPractice,
}

var heavyPart = kit.Parameter{
	Name: "mounting.hole-pattern.heavy_g", Unit: "g", Default: 200, Least: 10, Greatest: 5000,
	Purpose: "From which mass on two screws do not hold a part.",
	Source:  kit.CommonPractice,
}

var holePatternRule = kit.Rule{
	ID: "mounting.hole-pattern", Title: "Holes of board and supply over those of their mount", Since: "0.1.0",
	Why: "A part is held only where its holes lie over threads and a driver gets at them; one that hangs on one side bends, tears out, or shorts on its tray.",
	Formula: "The part's holes, by its own list or its form factor's standard, are laid over the mount's. Holes that lie over none, that matter covers where the head " +
		"would be, or that the enclosure keeps a driver from, take no screw. All others make it whole; three that span an area hold it; two hold a light part, and " +
		"not if they lie on one side of a heavy one.",
	Sources: []sourceOf{sourceByID("microatx-1.2-fig2"), sourceByID("supply-screw"), kit.CommonPractice},
	Reads: []string{
		"board.form_factor", "board.holes", "holes", "supply.form_factor", "chassis.layouts.mounts.holes", "mass_g",
	},
	UsesFacts:  []string{factArrangement},
	Parameters: []*kit.Parameter{&holePlay, &heavyPart},
	Texts: map[string]string{
		"pass":     "All {needed} holes of {part} lie over those of {place}, and a driver gets at them.",
		"marginal": "{part} is held at {place} by {held} of {needed} holes: {why}.",
		"fail":     "{part} is not held at {place}: {held} of {needed} holes take a screw, {why}.",
		"unknown":  "Whether {part} is held at {place} cannot be told: {missing} is missing, or names a hole that is there twice or lies off the part; mend it by the drawing.",
	},
	Remedies: map[string]string{
		"screws": "Put a screw into every hole that is left, and support the part at the free corner when plugs go in.",
		"other":  "Use another mount or layout, or a bracket whose holes are those of the part.",
	},
	Judge: judgeHolePattern,
}

func judgeHolePattern(c *kit.Case) {
	s := sceneOf(c)
	if s.chassis == nil || s.layout == nil {
		return
	}
	for _, kind := range [...]kit.Kind{kit.KindBoard, kit.KindSupply} {
		for it := range c.Items(kind) {
			mount := s.mount(s.sole(it))
			if kind == kit.KindBoard {
				mount = s.boardMount(it)
			}
			if len(mount.GetHoles()) > 0 {
				s.judgePattern(it, mount)
			}
		}
	}
}

// meeting is a part's pattern over its mount's: which holes take a screw, and why
// the others do not.
type meeting struct {
	used               []bool
	held               int
	alone, under, away int // over no hole; covered; out of reach
	by                 []string
}

func (s *scene) judgePattern(it *kit.Item, mount *v1.Mount) {
	c, place := s.c, mount.GetId()
	part, ok := patternOf(it)
	if !ok {
		field := "holes"
		if it.Kind == kit.KindBoard {
			field = "board.holes"
		}
		c.Judged(kit.Unknown, c.Absent(it.At(field), "")).About(it, s.chassis).Word("part", it.Name()).Word("place", place)
		return
	}
	if path, flawed := part.flawOf(it); flawed {
		c.Judged(kit.Unknown, c.Absent(path, "")).About(it, s.chassis).Word("part", it.Name()).Word("place", place)
		return
	}
	over := holesFrom(mount.Holes, part.holes[0].From)
	if err := fastening.CheckPattern(over); err != nil {
		c.Judged(kit.Unknown, c.Absent(s.mountPath(mount, placeOf(err)), "")).About(s.chassis, it).Word("part", it.Name()).Word("place", place)
		return
	}
	play := c.Parameter(&holePlay)
	match, err := fastening.MatchPatterns(part.holes, over, play.Nominal)
	if err != nil {
		panic(err)
	}
	s.reportPattern(it, place, &part, s.meet(it, &part, match), play)
}

// meet tells which holes of a match take a screw.
func (s *scene) meet(it *kit.Item, part *pattern, match fastening.Match) meeting {
	m := meeting{used: make([]bool, len(part.holes)), alone: len(match.Lone)}
	pose, posed := s.poseOf(it)
	b := s.placed()
	var fixed []box
	if posed && b != nil {
		fixed = apart(b, it.ID)
	}
	for _, pair := range match.Pairs {
		state, by := fastening.Open, ""
		if posed && b != nil {
			hole := fastening.Place(pose, part.holes[pair.Part:pair.Part+1])[0]
			state, by = s.look(it, hole, fixed, b)
		}
		switch state {
		case fastening.Covered:
			m.under++
		case fastening.OutOfReach:
			m.away++
		default:
			m.used[pair.Part] = true
			m.held++
		}
		if by != "" && !contains(m.by, by) {
			m.by = append(m.by, by)
		}
	}
	return m
}

// headMM is the diameter of a screw's head: the widest of the pan heads that are
// used here, 6-32 (6.9 mm).
const headMM = 6.9

// look tells whether a placed hole takes a screw: nothing may lie where its head
// lies, and nothing that never comes off may bar the driver. What else bars it is
// a matter of the order of assembly.
func (s *scene) look(it *kit.Item, hole fastening.Hole, fixed []box, b *bodies) (fastening.Access, string) {
	state, _, err := fastening.Look(hole, headMM, fastening.LongDriver, fixed)
	if err != nil {
		return fastening.Open, ""
	}
	if state != fastening.Open {
		return state, "the enclosure"
	}
	head, err := fastening.HeadRoom(hole, headMM)
	if err != nil {
		return fastening.Open, ""
	}
	for i := range b.things {
		t := &b.things[i]
		if t.item == it.ID {
			continue
		}
		for k := range t.solid {
			if head.Overlaps(t.solid[k]) {
				return fastening.Covered, s.nameOf(t.item)
			}
		}
	}
	return fastening.Open, ""
}

// apart is the enclosure's fixed matter that an item does not touch: what it lies
// on, and what it reaches through, does not bar its own screws.
func apart(b *bodies, item string) (out []box) {
	own := b.of(item)
	for i := range b.fixed {
		if own == nil || !touches(own.solid, b.fixed[i]) {
			out = append(out, b.fixed[i])
		}
	}
	return out
}

func (s *scene) nameOf(id string) string {
	if it := s.c.ItemByID(id); it != nil {
		return it.Name()
	}
	return id
}

func (s *scene) reportPattern(it *kit.Item, place string, part *pattern, m meeting, play kit.Value) {
	c, needed := s.c, part.needed
	if needed == 0 {
		needed = len(part.holes)
	}
	var f *kit.Finding
	switch fastening.Judge(part.holes, m.used, needed) {
	case fastening.HeldByAll:
		f = c.Judged(kit.Pass, play)
	case fastening.HeldByEnough:
		f = c.Judged(kit.Marginal, play)
	case fastening.HeldIfLight:
		f = s.judgeLight(it, fastening.OneSide(part.holes, m.used), play)
	default:
		f = c.Judged(kit.Fail, play)
	}
	f.About(it, s.chassis).Word("part", it.Name()).Word("place", place).Word("why", m.why()).
		Number("held", kit.Constant(float64(m.held), "")).Number("needed", kit.Constant(float64(needed), ""))
	if f.Verdict() == kit.Fail {
		f.Remedy("other")
	} else {
		f.Remedy("screws")
	}
}

// judgeLight reports on a part on two screws: a light one is held.
func (s *scene) judgeLight(it *kit.Item, oneSide bool, play kit.Value) *kit.Finding {
	mass, heavy := s.c.Figure(it, "mass_g", it.Part.MassG, "g", 0), s.c.Parameter(&heavyPart)
	verdict := kit.Marginal
	if mass.Nominal > heavy.Nominal || oneSide && mass.Nominal > heavy.Nominal/2 {
		verdict = kit.Fail
	}
	return s.c.Judged(verdict, mass, heavy, play)
}

// why tells in words why holes take no screw.
func (m *meeting) why() string {
	var parts []string
	add := func(n int, what string) {
		if n > 0 {
			parts = append(parts, kit.FormatNumber(float64(n), "")+" "+what)
		}
	}
	add(m.alone, "over no hole of the mount")
	add(m.under, "covered")
	add(m.away, "out of a driver's reach")
	if len(m.by) > 0 {
		parts = append(parts, "by "+strings.Join(m.by, " and "))
	}
	if len(parts) == 0 {
		return "the others are free"
	}
	return strings.Join(parts, ", ")
}
