package power

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

// survey is what the rules of the pack have in common: who feeds and who draws.
// It is taken once for each build.
type survey struct {
	supply    *kit.Item // nil where the build has none, or several
	supplies  int
	processor bool
	board     bool
	draws     []draw
	values    []kit.Value    // of draws, known or not
	gaps      []kit.Value    // those that are missing
	known     quantity.Range // sum of the others, in W
	tolerance float64        // of published powers, as a share
	peaks     []peak
	wiring    wiring
	fact      demandFact
	lost      lossMemory
	rails     [railCount]railLoad
	items     []*kit.Item // that draw, feed or connect
	circuits  *circuits
	laid      *wired // nil until it is asked for
	key       []byte
	taken     []itemDraw // by item
	reading   *reading   // nil until it is asked for
	readings  reading
	// What some rules find, in memory that is used again.
	lowPoints    []supplyPoint
	overContacts []contactLoad
	overWires    []wireLoad
}

// draw is what one item takes from the supply for one of its figures, all pieces
// together, in W. A liquid loop has one for its pump and one for its fans.
type draw struct {
	item  *kit.Item
	value kit.Value
}

// railVolt is the nominal voltage of the main rail.
var railVolt = func() float64 {
	limit, err := standards.RailLimitFor(standards.GuideATX3, standards.Rail12V)
	if err != nil {
		panic(err)
	}
	return limit.NominalV
}()

func surveyOf(c *kit.Case) *survey {
	s, ok := c.Workspace.(*survey)
	if !ok {
		s = new(survey)
		c.Workspace = s
	}
	return s
}

// take reads the build anew.
func (s *survey) take(c *kit.Case) {
	s.supply, s.supplies, s.processor, s.board = nil, 0, false, false
	s.draws, s.values, s.gaps, s.known = s.draws[:0], s.values[:0], s.gaps[:0], quantity.Range{}
	s.items, s.laid, s.reading, s.lost = s.items[:0], nil, nil, lossMemory{}
	s.tolerance = c.Parameter(&kit.PowerTolerance).Nominal
	for it := range c.AllItems() {
		switch it.Kind {
		case kit.KindSupply:
			s.supply = it
			s.supplies += it.Count
		case kit.KindProcessor:
			s.processor = true
		case kit.KindBoard:
			s.board = true
		}
		if it.Kind == kit.KindSupply || it.Kind == kit.KindCable || drawsPower(it.Kind) {
			s.items = append(s.items, it)
		}
		s.read(c, it)
	}
	if s.supplies != 1 {
		s.supply = nil
	}
	if !s.processor || !s.board {
		// Without them the sum is not that of a computer.
		gap := c.Absent(kit.Path{Field: "items"}, "W")
		s.gaps, s.values = append(s.gaps, gap), append(s.values, gap)
	}
}

// read adds what one item draws. A load of the build goes before what the part
// says; parts that draw nothing from the supply are left out.
func (s *survey) read(c *kit.Case, it *kit.Item) {
	if !drawsPower(it.Kind) {
		return
	}
	if load, ok := loadOf(c, it); ok {
		s.add(it, load, it.Count)
		return
	}
	switch part := it.Part; it.Kind {
	case kit.KindBoard:
		s.add(it, c.Power(it, "board.demand.sustained_w", sustained(part.GetBoard().Demand)), it.Count)
	case kit.KindProcessor:
		s.add(it, c.Power(it, "processor.demand.sustained_w", sustained(part.GetProcessor().Demand)), it.Count)
	case kit.KindMemory:
		modules := counted(part.GetMemory().Modules)
		s.add(it, c.Power(it, "memory.demand.sustained_w", sustained(part.GetMemory().Demand)), it.Count*modules)
	case kit.KindCard:
		s.add(it, c.Power(it, "card.demand.sustained_w", sustained(part.GetCard().Demand)), it.Count)
	case kit.KindDrive:
		s.add(it, c.Power(it, "drive.demand.sustained_w", sustained(part.GetDrive().Demand)), it.Count)
	case kit.KindFan:
		s.addFan(c, it, "fan.current_a", part.GetFan(), it.Count)
	case kit.KindAirCooler:
		for i, seat := range part.GetAirCooler().Fans {
			s.addFan(c, it, airFanPath.at(i), seat.Fan, it.Count*counted(seat.Count))
		}
	case kit.KindLiquidLoop:
		s.add(it, c.Power(it, "liquid_loop.pump_power_w", part.GetLiquidLoop().PumpPowerW), it.Count)
		for i, seat := range part.GetLiquidLoop().Fans {
			s.addFan(c, it, loopFanPath.at(i), seat.Fan, it.Count*counted(seat.Count))
		}
	}
}

func drawsPower(k kit.Kind) bool {
	switch k {
	case kit.KindBoard, kit.KindProcessor, kit.KindMemory, kit.KindCard, kit.KindDrive,
		kit.KindFan, kit.KindAirCooler, kit.KindLiquidLoop:
		return true
	}
	return false
}

// loadOf is the load that the build sets for one piece of an item.
func loadOf(c *kit.Case, it *kit.Item) (kit.Value, bool) {
	for i, load := range c.Build.GetUse().GetLoads() {
		if load.GetItem() == it.ID && load.PowerW != nil {
			return c.Given(kit.Path{Field: loadPath.at(i)}, load.PowerW, "W"), true
		}
	}
	return kit.Value{}, false
}

// addFan adds fans by their current at greatest speed: they start at it, and run
// at it when their control fails.
func (s *survey) addFan(c *kit.Case, it *kit.Item, field string, fan *v1.Fan, count int) {
	var ampere *float64
	if fan != nil {
		ampere = fan.CurrentA
	}
	tolerance := 0.0
	if ampere != nil {
		tolerance = *ampere * s.tolerance
	}
	current := c.Figure(it, field, ampere, "A", tolerance)
	s.add(it, current.With(current.Scale(railVolt), "W"), count)
}

func (s *survey) add(it *kit.Item, each kit.Value, count int) {
	all := each.With(each.Scale(float64(count)), "W")
	s.draws = append(s.draws, draw{it, all})
	s.values = append(s.values, all)
	if !all.Known() {
		s.gaps = append(s.gaps, all)
		return
	}
	s.known = s.known.Add(all.Range)
}

// drawOf is what one item draws, all pieces together.
func (s *survey) drawOf(it *kit.Item) kit.Value {
	for i := range s.draws {
		if s.draws[i].item == it {
			return s.draws[i].value
		}
	}
	return kit.Value{Unit: "W"}
}

// rating is the supply's continuous rating. It is a promise and not a
// measurement, so that no tolerance is taken for it unless its part states one.
func (s *survey) rating(c *kit.Case) kit.Value {
	return c.Figure(s.supply, "supply.rated_w", s.supply.Part.GetSupply().RatedW, "W", 0)
}

// Texts of rules that cannot tell without one supply.
const (
	textNoSupply  = "The build names no supply, so nothing feeds it; add the supply to the build."
	textSuppliers = "The build names {supplies} supplies and not which part each feeds; keep one of them, or check each with its own parts."
)

// withoutSupply reports that a rule cannot tell for want of one supply.
func (s *survey) withoutSupply(c *kit.Case) bool {
	if s.supply != nil {
		return false
	}
	f := c.Judged(kit.Unknown, c.Absent(kit.Path{Field: "items"}, "")).Say("no-supply")
	if s.supplies > 1 {
		f.Say("several-supplies").Number("supplies", kit.Constant(float64(s.supplies), ""))
	}
	return true
}

func sustained(d *v1.Demand) *float64 {
	if d == nil {
		return nil
	}
	return d.SustainedW
}

// counted is a count that is 1 where nothing is said.
func counted(n *uint32) int {
	if n == nil {
		return 1
	}
	return int(*n)
}
