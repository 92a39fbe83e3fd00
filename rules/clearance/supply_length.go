package clearance

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var plugRoom = kit.Parameter{
	Name: "clearance.supply-length.plug_room_mm", Unit: "mm", Default: 30, Least: 0, Greatest: 150,
	Purpose: "How much room the plugs of a supply and the first bend of their cables take behind it, where the enclosure's limit does not leave it already.",
	Source:  kit.CommonPractice,
}

var supplyLengthRule = kit.Rule{
	ID: "clearance.supply-length", Title: "Length of the power supply", Since: "0.1.0",
	Why: "A supply that is too long meets the card, a fan or the wall, and one that just goes in leaves its plugs no room.",
	Formula: "Margin is the longest supply that the layout takes, less the supply's length, less the room for plugs and bends unless the limit leaves that already. " +
		"A supply that misses only for its plugs is doubtful, since that room is custom.",
	Sources: []sourceOf{makersLimit, kit.CommonPractice},
	Reads: []string{
		"supply.length_mm", "supply.form_factor", "chassis.limits.supply_length_mm", "chassis.layouts.limits.supply_length_mm",
		"chassis.limits.supply_length_includes_plugs", "chassis.layouts.limits.supply_length_includes_plugs",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance, &plugRoom},
	Texts: map[string]string{
		"pass":     "{supply} takes {measured} of {required}, room for its plugs included: {margin} to spare.",
		"marginal": "{supply} takes {measured} of {required}, room for its plugs included: {margin} to spare, less than the figures may be off.",
		"plugs":    "{supply} itself goes in, but with {room} for its plugs and the bend of their cables it takes {measured} of {required}.",
		"fail":     "{supply} is {length} long where only {required} are free.",
		"unknown":  "Whether {supply} is not too long cannot be told without {missing}; look in the data sheets of supply and enclosure.",
	},
	Remedies: map[string]string{
		"shorter": "Choose a power supply that is at least {shortfall} shorter.",
		"plugs":   "Choose a power supply that is {shortfall} shorter, or measure whether your plugs and cables do with less.",
	},
	Cautions: map[string]string{
		"bend": "Do not force plugs or bend cables hard at the plug: loose contacts run hot.",
	},
	Judge: judgeSupplyLength,
	Bound: boundSupplyLength,
}

func judgeSupplyLength(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	for it := range c.Items(kit.KindSupply) {
		length, limit := supplyLengthOf(c, it), d.length(supplyLength)
		taken, room := length, kit.Constant(0, "mm")
		if !d.plugsTakenOut() {
			room = c.Parameter(&plugRoom)
			taken = length.With(length.Add(room.Range), "mm")
		}
		f := c.AtMost(taken, limit).About(it, d.chassis).Word("supply", it.Name())
		f.Number("length", length).Number("room", room)
		if room.Nominal > 0 {
			f.Using(room)
		}
		if f.Verdict() != kit.Pass && f.Verdict() != kit.Unknown && room.Nominal > 0 && length.Nominal <= limit.Nominal {
			f.AtWorst(kit.Marginal).Say("plugs").RemedyOf("plugs", f.Shortfall()).Caution("bend")
			continue
		}
		f.RemedyOf("shorter", f.Shortfall())
	}
}

// supplyDepths are the lengths of form factors whose standard fixes them.
var supplyDepths = func() map[string]float64 {
	out := map[string]float64{}
	for _, form := range standards.SupplyForms() {
		if !form.DepthVaries && form.Source.Firm() {
			out[form.Token] = form.DepthMM
		}
	}
	return out
}()

// supplyLengthOf is the supply's length, or that of its form factor where the
// supply does not say and the form factor leaves no choice.
func supplyLengthOf(c *kit.Case, it *kit.Item) kit.Value {
	supply := it.Part.GetSupply()
	if depth, fixed := supplyDepths[supply.GetFormFactor()]; supply.LengthMm == nil && fixed {
		return c.Assume(it.At("supply.length_mm"), quantity.Exact(depth), "mm")
	}
	return c.Length(it, "supply.length_mm", supply.LengthMm)
}
