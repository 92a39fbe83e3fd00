package clearance

import (
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

// What things keep from each other, and how many of their gaps are told.
var (
	touchGap = kit.Parameter{
		Name: "clearance.gap.touch_mm", Unit: "mm", Default: 0, Least: 0, Greatest: 50,
		Purpose: "How far solid things have to keep apart where nothing moves.",
		Source:  kit.CommonPractice,
	}
	vibrationGap = kit.Parameter{
		Name: "clearance.gap.vibration_mm", Unit: "mm", Default: 1, Least: 0, Greatest: 50,
		Purpose: "How far a fan or a disk drive has to keep from what it is not fastened to, so that it does not rattle.",
		Source:  kit.CommonPractice,
	}
	plugGap = kit.Parameter{
		Name: "clearance.gap.plug_mm", Unit: "mm", Default: 0, Least: 0, Greatest: 50,
		Purpose: "How far the room of a mated plug and its cable's bend has to keep from everything else.",
		Source:  kit.CommonPractice,
	}
	handGap = kit.Parameter{
		Name: "clearance.gap.hand_mm", Unit: "mm", Default: 0, Least: 0, Greatest: 100,
		Purpose: "How far the room that a hand or a tool needs has to keep from everything else.",
		Source:  kit.CommonPractice,
	}
	nearGap = kit.Parameter{
		Name: "clearance.gap.near_mm", Unit: "mm", Default: 5, Least: 0, Greatest: 500,
		Purpose: "Up to which spare room a gap is told at all.",
		Source:  kit.CommonPractice,
	}
)

// gapsTold is how many gaps without a conflict are told.
const gapsTold = 5

var gapRule = kit.Rule{
	ID: "clearance.gap", Title: "Room between two things", Since: "0.1.0",
	Why: "Things that fit the enclosure one by one can still meet each other: a card the plugs of the supply, a fan the card, a radiator the memory.",
	Formula: "Every part becomes boxes, from its own figures, its form factor's standard, or boxes that it brings. The gap of two things is the widest free " +
		"distance of their boxes along one axis, negative where they overlap; its range takes every face at its worst. Margin is the gap less what the two " +
		"have to keep: nothing for what only touches, room against rattling for what moves, and a free way for plugs. All conflicts are told, and the " +
		"tightest gaps otherwise. What a cooler and a card leave to the enclosure itself is judged under their own rules.",
	Sources: []sourceOf{kit.CommonPractice, standards.FirstSlotCentreX.Source, standards.SlotPitch.Source},
	Reads: []string{
		"chassis.compartments", "chassis.panels", "chassis.obstructions", "chassis.layouts.mounts", "chassis.layouts.obstructions",
		"board.form_factor", "board.socket_centre", "air_cooler.height_mm", "air_cooler.width_mm", "air_cooler.depth_mm", "memory.height_mm",
		"card.length_mm", "card.height_mm", "card.thickness_mm", "card.power_sockets", "supply.length_mm", "supply.outlets",
		"fan.thickness_mm", "fan.size_mm", "radiator.length_mm", "radiator.thickness_mm", "drive.height_mm", "bodies",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance, &touchGap, &vibrationGap, &plugGap, &handGap, &nearGap},
	Texts: map[string]string{
		"pass":               "{measured} lie between {first} and {second} ({way}), {margin} more than they have to keep.",
		"pass-touch":         "{measured} lie between {first} and {second} ({way}).",
		"marginal":           "{measured} lie between {first} and {second} ({way}): less to spare than the figures may be off.",
		"fail":               "{measured} lie between {first} and {second} ({way}), and {required} are needed {why}: {shortfall} short.",
		"fail-overlap":       "{first} and {second} are in each other's way by {overlap} ({way}).",
		"unknown":            "Whether {first} and {second} keep apart cannot be told without {missing}.",
		"fail-overlap-plugs": "{first} and {second} are in each other's way by {overlap} ({way}), plugs and the bend of their cables included.",
	},
	Remedies: map[string]string{
		"room":    "Make {shortfall} more room between them: another place, another offset, or a smaller part.",
		"place":   "Put {moved} {to}: then {spare} are to spare in the tightest place.",
		"measure": "Measure both before you order: {shortfall} more room would put it beyond doubt.",
	},
	Cautions: map[string]string{
		"bend": "Do not force plugs or bend cables hard at the plug: loose contacts run hot.",
	},
	Judge: judgeGaps,
}

func judgeGaps(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	a := d.shown()
	if a == nil {
		return
	}
	near := c.Parameter(&nearGap).Nominal
	told := 0
	for i := range a.gaps {
		g := &a.gaps[i]
		if elsewhere(a, g) || toldBefore(a, i) {
			continue
		}
		if g.margin >= 0 {
			if told == gapsTold || g.margin > near {
				break
			}
			told++
		}
		d.tellGap(a, g)
	}
}

// toldBefore reports whether a tighter gap of the same two items has been told,
// such as that of the fan's neighbour.
func toldBefore(a *arrangement, i int) bool {
	g := &a.gaps[i]
	same := func(t, u *thing) bool { return t.item == u.item && (t.item >= 0 || t == u) }
	for k := range i {
		h := &a.gaps[k]
		if h.reason != g.reason || elsewhere(a, h) {
			continue
		}
		if same(a.things[h.a], a.things[g.a]) && same(a.things[h.b], a.things[g.b]) {
			return true
		}
	}
	return false
}

// elsewhere reports whether another rule judges a gap: what cooler and card leave
// to the enclosure, and a cooler to a card that stands before it.
func elsewhere(a *arrangement, g *gapOf) bool {
	t, u := a.things[g.a], a.things[g.b]
	p, q := a.pair(g)
	if p.Purpose != geometry.PurposeSolid || q.Purpose != geometry.PurposeSolid {
		return false
	}
	own := func(t, u *thing) bool {
		return (t.cooler || t.card) && u.element != nil || t.cooler && u.card && !u.aboard
	}
	return own(t, u) || own(u, t)
}

func (d *desk) tellGap(a *arrangement, g *gapOf) {
	c := d.c
	t, u := a.things[g.a], a.things[g.b]
	p, q := a.pair(g)
	if t.item < 0 {
		t, u, p, q = u, t, q, p
	}
	gap := geometry.Between(p, q)
	nominal := settledZero(gap.Distance)
	between := quantity.Range{Nominal: nominal, Low: min(nominal, gap.Worst.Low), High: max(nominal, gap.Worst.High)}
	measured := c.Derived(between, "mm", d.figuresOf(t, u)...)
	f := c.AtLeast(measured, kit.Constant(g.required, "mm")).About(d.itemOf(t), d.itemOf(u))
	f.Word("first", d.nameOf(t, p)).Word("second", d.nameOf(u, q)).Word("way", wayOf(gap.Axis)).Word("why", whyOf(g.reason))
	f.Number("overlap", kit.Constant(max(0, -gap.Distance), "mm"))
	plug := g.reason == toPlug
	switch {
	case f.Verdict() == kit.Fail && gap.Distance < 0 && plug:
		f.Say("fail-overlap-plugs").Caution("bend")
	case f.Verdict() == kit.Fail && gap.Distance < 0:
		f.Say("fail-overlap")
	case f.Verdict() == kit.Pass && g.required == 0:
		f.Say("pass-touch")
	}
	d.remedyOfPlace(f, d.itemOf(t), d.itemOf(u))
	if f.Verdict() == kit.Marginal {
		f.RemedyOf("measure", f.Shortfall())
		return
	}
	f.RemedyOf("room", f.Shortfall())
}

// settledZero is a distance without the dust of binary fractions: what is closer
// than a tenth of a micrometre touches.
func settledZero(mm float64) float64 {
	if mm > -1e-4 && mm < 1e-4 {
		return 0
	}
	return mm
}

func wayOf(a geometry.Axis) string {
	return [3]string{"from rear to front", "from side to side", "from bottom to top"}[a]
}

func whyOf(reason why) string {
	switch reason {
	case toRattle:
		return "so that nothing rattles"
	case toPlug:
		return "for plug and cable"
	case toReach:
		return "for a hand"
	default:
		return "so that nothing touches"
	}
}

// itemOf is the item that a thing is of; the enclosure for its elements.
func (d *desk) itemOf(t *thing) *kit.Item {
	if t.item < 0 {
		return d.chassis
	}
	return d.itemAt(t.item)
}

// nameOf names a thing, or its plug where the gap is that of a plug.
func (d *desk) nameOf(t *thing, p *geometry.Piece) string {
	name := d.titleOf(t)
	switch {
	case p.Purpose != geometry.PurposePlug:
		return name
	case p.Name == "fittings":
		return "the fittings of " + name
	default:
		return "a plug of " + name
	}
}

// figuresOf are the figures that decide the boxes of two things, and where they
// are placed.
func (d *desk) figuresOf(things ...*thing) []kit.Value {
	out := []kit.Value{d.placesValue()}
	for _, t := range things {
		it := d.itemAt(t.item)
		if t.item < 0 || it == nil {
			continue
		}
		p := it.Part
		add := func(field string, mm *float64) {
			if mm != nil {
				out = append(out, d.c.Length(it, field, mm))
			}
		}
		switch it.Kind {
		case kit.KindCard:
			add("card.length_mm", p.GetCard().LengthMm)
			add("card.height_mm", p.GetCard().HeightMm)
			add("card.thickness_mm", p.GetCard().ThicknessMm)
		case kit.KindAirCooler:
			add("air_cooler.height_mm", p.GetAirCooler().HeightMm)
			add("air_cooler.width_mm", p.GetAirCooler().WidthMm)
			add("air_cooler.depth_mm", p.GetAirCooler().DepthMm)
		case kit.KindLiquidLoop:
			add("liquid_loop.block_height_mm", p.GetLiquidLoop().BlockHeightMm)
			add("liquid_loop.radiator.length_mm", p.GetLiquidLoop().GetRadiator().LengthMm)
			add("liquid_loop.radiator.thickness_mm", p.GetLiquidLoop().GetRadiator().ThicknessMm)
		case kit.KindRadiator:
			add("radiator.length_mm", p.GetRadiator().LengthMm)
			add("radiator.thickness_mm", p.GetRadiator().ThicknessMm)
		case kit.KindSupply:
			add("supply.length_mm", p.GetSupply().LengthMm)
		case kit.KindMemory:
			add("memory.height_mm", p.GetMemory().HeightMm)
		case kit.KindFan:
			add("fan.thickness_mm", p.GetFan().ThicknessMm)
		case kit.KindDrive:
			add("drive.height_mm", p.GetDrive().HeightMm)
		}
	}
	return out
}

// placesValue cites the layout's mounts as an input.
func (d *desk) placesValue() kit.Value {
	name := titleOf(d.layout)
	return d.c.Word(d.chassis, d.placesPath(), &name)
}
