package clearance

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
	"slipfit.example/rules/standards"
)

// Before a shortlist solves anything, rules say what a candidate will come to at best:
// by the room that the enclosure leaves a part for itself in any place of any open
// layout, and by the limits that its maker publishes. See kit.Rule.Bound.

// boundDesk is the desk of a case whose layouts are not judged yet, nil where the build
// has no enclosure.
func boundDesk(c *kit.Case) *desk {
	d := c.Workspace.(*desk)
	if d.chassis == nil {
		return nil
	}
	return d
}

// mostOf is the greatest that a limit comes to in the open layouts, -Inf where none
// states or shows it.
func (d *desk) mostOf(limit func(*limits) float64) float64 {
	most := math.Inf(-1)
	for _, index := range d.layouts {
		var l limits
		l.open(d.c, d.chassis, index)
		most = max(most, limit(&l))
	}
	return most
}

// published is a limit in mm that layout or enclosure states, -Inf for none.
func (l *limits) published(f figure) float64 {
	if v := f.millimetres(l.own); v != nil {
		return *v
	}
	if v := f.millimetres(l.common); v != nil {
		return *v
	}
	return math.Inf(-1)
}

// bodyOf is the box round the matter of a part in its own frame.
func bodyOf(s *geometry.Solid) (box geometry.Box, ok bool) {
	for i := range s.Pieces {
		switch {
		case i == 0:
			box = s.Pieces[0].Box
		case s.Pieces[i].Purpose == geometry.PurposeSolid:
			box = box.Hull(s.Pieces[i].Box)
		}
	}
	return box, len(s.Pieces) > 0
}

// rooms are no less than what any open layout leaves a part in the directions of
// figures along axes of its own, by its place or as published. A part that is judged by
// a limit that nobody states is UNKNOWN, and so has no room at all.
func (d *desk) rooms(it *kit.Item, solid *geometry.Solid, figures []figure, axes []geometry.Axis) (most [3]float64) {
	for k := range figures {
		most[k] = d.mostOf(func(l *limits) float64 { return l.published(figures[k]) })
	}
	hull, ok := bodyOf(solid)
	if !ok || len(d.chassis.Part.GetChassis().Compartments) == 0 {
		return most
	}
	pins := d.pins()
	for _, layout := range d.layouts {
		for _, b := range d.berthsOf(layout, it, pins) {
			for k := range figures {
				if mm := b.reach(&hull, axes[k]); mm < roomReach {
					most[k] = max(most[k], mm)
				}
			}
		}
	}
	return most
}

// pins are the build's fixed choices, encoded.
func (d *desk) pins() string {
	choices := d.c.Build.GetArrangement()
	if len(choices.GetPlacements()) == 0 {
		return ""
	}
	out, err := choices.MarshalVT()
	if err != nil {
		return ""
	}
	return string(out)
}

// capAt says what comes of a size that is judged against a limit of which the most is
// known. A FAIL is final.
func (d *desk) capAt(size *float64, most float64) {
	switch {
	case size == nil || *size > most+dust:
		d.c.Unfit()
	case most > dust && !math.IsInf(most, 1):
		d.c.Ceiling(1 - *size/(most+dust))
	}
}

// concerns reports whether a shortlist seeks an item, or the enclosure that it is held
// against.
func (d *desk) concerns(it *kit.Item) bool { return d.c.Sought(it) || d.c.Sought(d.chassis) }

func boundCoolerHeight(c *kit.Case) {
	d := boundDesk(c)
	if d == nil {
		return
	}
	for it := range c.Items(kit.KindAirCooler) {
		if d.concerns(it) {
			d.boundUnderPanel(it, it.Part.GetAirCooler().HeightMm)
		}
	}
	for it := range c.Items(kit.KindLiquidLoop) {
		if d.concerns(it) {
			d.boundUnderPanel(it, it.Part.GetLiquidLoop().BlockHeightMm)
		}
	}
}

func (d *desk) boundUnderPanel(it *kit.Item, height *float64) {
	if height == nil {
		d.c.Unfit()
		return
	}
	settings := solids.Settings{ToleranceMM: d.tolerance()}
	var solid geometry.Solid
	if it.Kind == kit.KindLiquidLoop {
		solid, _ = settings.Block(it.Part)
	} else {
		turner := scene{items: []seatedItem{{id: it.ID, count: it.Count}}, pins: d.c.Build.GetArrangement().GetPlacements()}
		solid, _ = settings.Cooler(it.Part, solids.LidAboveBoard(d.boardPart()), turner.isTurned(0))
	}
	most := d.rooms(it, &solid, []figure{coolerHeight}, []geometry.Axis{geometry.Z})
	d.capAt(height, most[0])
}

// boardPart is the document of the board, nil for none.
func (d *desk) boardPart() *v1.Part {
	if board := d.c.First(kit.KindBoard); board != nil {
		return board.Part
	}
	return nil
}

// boundCard bounds all three dimensions of cards at once.
func boundCard(c *kit.Case) {
	d := boundDesk(c)
	if d == nil {
		return
	}
	settings := solids.Settings{ToleranceMM: d.tolerance()}
	for it := range c.Items(kit.KindCard) {
		if !d.concerns(it) {
			continue
		}
		card := it.Part.GetCard()
		if card.LengthMm == nil || card.HeightMm == nil || card.ThicknessMm == nil {
			c.Unfit()
			return
		}
		solid, _ := settings.Card(it.Part)
		most := d.rooms(it, &solid, []figure{cardLength, cardHeight, cardThickness}, []geometry.Axis{geometry.Y, geometry.Z, geometry.X})
		d.capAt(card.LengthMm, most[0])
		d.capAt(card.HeightMm, most[1])
		if slots := d.mostOf((*limits).slotsWide); slots <= 0 || *card.ThicknessMm <= max(slots, most[2]) {
			d.capAt(card.ThicknessMm, max(slots, most[2]))
		}
	}
}

// slotsWide is what the openings for brackets make in mm where they stand in for a
// limit on a card's thickness, else -Inf. A card beyond it is MARGINAL.
func (l *limits) slotsWide() float64 {
	n := l.own.CardSlots
	if n == nil {
		n = l.common.CardSlots
	}
	if l.states(cardThickness) || n == nil {
		return math.Inf(-1)
	}
	return float64(*n) * standards.SlotPitch.Value
}

func boundSupplyLength(c *kit.Case) {
	d := boundDesk(c)
	if d == nil {
		return
	}
	for it := range c.Items(kit.KindSupply) {
		if d.concerns(it) {
			d.boundSupply(it)
		}
	}
}

// boundSupply bounds a supply by its form factor and its length, of which only what is
// published counts. A supply that misses for its plugs alone is MARGINAL.
func (d *desk) boundSupply(it *kit.Item) {
	length := supplyLengthOf(d.c, it)
	if form := it.Part.GetSupply().GetFormFactor(); form == "" || !length.Known() || !d.takesSupply(form) {
		d.c.Unfit()
		return
	}
	ceiling, fits := math.Inf(-1), false
	for _, index := range d.layouts {
		var l limits
		l.open(d.c, d.chassis, index)
		limit, room := l.published(supplyLength), 0.0
		if !l.plugsTakenOut() {
			room = d.c.Parameter(&plugRoom).Nominal
		}
		if limit <= 0 {
			fits = fits || limit == 0
			continue
		}
		ceiling = max(ceiling, (limit-length.Nominal-room)/limit)
		fits = fits || length.Nominal <= limit
	}
	switch {
	case !fits:
		d.c.Unfit()
	case !math.IsInf(ceiling, -1):
		d.c.Ceiling(ceiling + 1e-9)
	}
}

// takesSupply reports whether an open layout takes a supply's form factor.
func (d *desk) takesSupply(form string) bool {
	for _, index := range d.layouts {
		var l limits
		l.open(d.c, d.chassis, index)
		listed := l.own.SupplyFormFactors
		if len(listed) == 0 {
			listed = l.common.SupplyFormFactors
		}
		if contains(listed, form) || l.supplyMount(form) != nil {
			return true
		}
	}
	return false
}

func boundMemoryUnderCooler(c *kit.Case) {
	d := boundDesk(c)
	if d == nil {
		return
	}
	for cooler := range c.Items(kit.KindAirCooler) {
		for memory := range c.Items(kit.KindMemory) {
			if !liesFlat(memory.Part.GetMemory().GetModule()) && (c.Sought(cooler) || c.Sought(memory)) {
				d.boundModules(memory, cooler)
			}
		}
	}
}

// boundModules bounds memory by what the cooler leaves. A tower's fan may move up by
// what is lacking at least, while the cooler then goes under the panel.
func (d *desk) boundModules(memory, cooler *kit.Item) {
	document, height := cooler.Part.GetAirCooler(), memory.Part.GetMemory().HeightMm
	if document.OverMemory != nil && !*document.OverMemory {
		return
	}
	free := document.MemoryClearanceMm
	if height == nil || free == nil {
		d.c.Unfit()
		return
	}
	lift := *height - *free
	raised := document.HeightMm != nil && document.GetTower() && len(document.Fans) > 0 &&
		*document.HeightMm+lift <= d.mostOf(func(l *limits) float64 { return l.published(coolerHeight) })+dust
	if lift > 0 && !raised {
		d.c.Unfit()
	}
	if *free > 0 {
		d.c.Ceiling(-lift / *free + 1e-9)
	}
}

func boundMemoryHeight(c *kit.Case) {
	d := boundDesk(c)
	if d == nil {
		return
	}
	most := d.mostOf(func(l *limits) float64 {
		if !l.states(memoryHeight) {
			return math.Inf(1)
		}
		return l.published(memoryHeight)
	})
	if math.IsInf(most, 1) {
		return // some layout sets no limit
	}
	for it := range c.Items(kit.KindMemory) {
		if d.concerns(it) && !liesFlat(it.Part.GetMemory().GetModule()) {
			d.capAt(it.Part.GetMemory().HeightMm, most)
		}
	}
}
