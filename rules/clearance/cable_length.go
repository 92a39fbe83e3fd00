package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/route"
	"slipfit.example/rules/standards"
)

var (
	cableSlack = kit.Parameter{
		Name: "clearance.cable-length.slack_mm", Unit: "mm", Default: 10, Least: 0, Greatest: 500,
		Purpose: "How much longer than its way a cable must be, so that it does not pull at its plugs.",
		Source:  kit.CommonPractice,
	}
	cableStep = kit.Parameter{
		Name: "clearance.cable-length.step_mm", Unit: "mm", Default: 50, Least: 1, Greatest: 500,
		Purpose: "The steps of length in which cables are sold; the length to order is rounded up to whole steps.",
		Source:  kit.CommonPractice,
	}
	cablePlace = kit.Parameter{
		Name: "clearance.cable-length.place_mm", Unit: "mm", Default: 25, Least: 0, Greatest: 300,
		Purpose: "How far a socket may be from where such sockets usually are, for parts that do not say where theirs is.",
		Source:  kit.CommonPractice,
	}
)

var cableLengthRule = kit.Rule{
	ID: "clearance.cable-length", Title: "Cables long enough for their way", Since: "0.1.0", Overall: true,
	Why: "A cable that is too short does not reach, or pulls at its plug until contacts part and burn.",
	Formula: "The shortest way round everything of matter in the arrangement is taken from the supply's outlet to the socket, straight as far as the plugs stand out, " +
		"no tighter than the cable's least bend radius, behind the tray where the enclosure leads cables there. Margin is the cable's length less that way and the slack.",
	Sources:    []sourceOf{makersLimit, standards.CableBendFactor.Source, kit.CommonPractice},
	Parameters: []*kit.Parameter{&cableSlack, &cableStep, &cablePlace, &kit.LengthTolerance},
	Reads: []string{
		"supply.cables.ends.length_mm", "supply.cables.diameter_mm", "supply.cables.bend_radius_mm", "supply.cables.plug_mm",
		"supply.outlets.at", "supply.length_mm", "cable.ends.length_mm", "cable.diameter_mm", "cable.bend_radius_mm", "cable.plug_mm",
		"board.power_sockets.at", "card.power_sockets.at", "drive.power_sockets.at", "chassis.compartments.cable_channel",
	},
	Texts: map[string]string{
		"pass":     "The {connector} cable from {supply} to {part} is {measured} long, and its way takes at most {required}, slack included.",
		"marginal": "The {connector} cable from {supply} to {part} is {measured} long where its way takes {required}, slack included: it reaches, by less than the figures may be off.",
		"fail":     "The {connector} cable from {supply} to {part} is {measured} long, and its way takes at least {required}, slack included.",
		"unknown":  "Whether the {connector} cable from {supply} reaches {part} cannot be told without {missing}; measure the cable from plug to plug, or the place of the socket.",
		"absent":   "No cable that goes from {supply} to the {connector} socket of {part} is named; its way takes {needed}, slack included: order one of {order}.",
		"blocked":  "A {connector} cable of {thickness} finds no way from {supply} to {part}: {obstacles} in the way.",
		"untold":   "The way of the {connector} cable from {supply} to {part} could not be worked out ({reason}); correct the places of outlet and socket.",
		"narrow":   "A {connector} cable of {thickness} finds no way from {supply} to {part}: the room there is too narrow.",
	},
	Remedies: map[string]string{
		"longer":  "Use a cable of {order} from the supply's own family.",
		"measure": "Lay a string along the way and measure before you order; a cable of {order} would be beyond doubt.",
		"clear":   "Make room for the cable, or turn the supply or the board so that its plugs face the free side.",
	},
	Cautions: map[string]string{
		"family": "Take only cables that the supply's maker names for it: plugs of other families go in and are wired otherwise, which destroys parts and can start a fire. " +
			"Unplug the mains and wait before you change cables.",
	},
	Judge: judgeCableLength,
	Bound: boundCableLength,
}

func judgeCableLength(c *kit.Case) {
	judgeRuns(c, func(r *run) bool { return r.ribbon == nil && !r.lead })
}

// judgeRuns judges the runs of one kind in the arrangement that was chosen.
func judgeRuns(c *kit.Case, isOne func(*run) bool) {
	a, l := solvedArrangement(c)
	if a == nil {
		return
	}
	room, ok := l.space(c, a)
	if !ok {
		return
	}
	list := deskOf(c).runsIn(a, l)
	for i := range list {
		r := &list[i]
		switch {
		case !isOne(r) || deskOf(c).out:
		case r.placed:
			judgeRun(c, r, l, room)
		case len(r.missing) > 0:
			describe(c.Judged(kit.Unknown, r.missing...), r)
		}
	}
}

// judgeRun compares one cable with its way.
func judgeRun(c *kit.Case, r *run, l *laying, room *route.Room) {
	slack, off := c.Parameter(r.slack()), 0.0
	if r.assumed {
		off = c.Parameter(r.offPlace()).Nominal
	}
	r.measure(l, slack.Nominal, off)
	need, found := r.need(off)
	if !found {
		judgeBlocked(c, r, room)
		return
	}
	needed := need.Add(slack.Range)
	want := c.Derived(needed, "mm", slack)
	order := kit.Constant(rounded(needed.High, c.Parameter(r.step()).Nominal), "mm")
	if r.cable == nil && r.ribbon == nil && !r.fixed {
		f := describe(c.Judged(kit.Unknown, r.length), r).Say("absent").Number("needed", want).Number("order", order)
		if !r.lead {
			f.CautionWhen("family")
		}
		return
	}
	f := describe(c.AtLeast(r.length, want), r).Number("order", order)
	if r.fixed && r.socket.GetDispensable() && f.Verdict() == kit.Fail {
		f.AtWorst(kit.Marginal).Say("spared").RemedyOf("longer", f.Shortfall())
		return
	}
	if f.Verdict() == kit.Marginal {
		f.RemedyOf("measure", f.Shortfall())
	} else {
		f.RemedyOf("longer", f.Shortfall())
	}
	if r.ribbon == nil && !r.lead {
		f.CautionWhen("family")
	}
	deskOf(c).out = c.Terse() && f.Verdict() == kit.Fail && (c.Sought(r.supply) || c.Sought(r.to) || c.Sought(r.item))
}

// need is the range of the way's length: exact where the way was looked for, else
// between its bounds, with the end as nominal that decided.
func (r *run) need(off float64) (need quantity.Range, found bool) {
	if mm, ok := r.exact(); ok {
		return quantity.Around(mm, min(off, mm), off), true
	}
	switch {
	case r.sought:
		return need, false
	case r.enough:
		return quantity.Range{Nominal: r.upper, Low: min(r.lower, r.upper), High: r.upper + off}, true
	default:
		return quantity.Around(r.lower, min(off, r.lower), off), true
	}
}

// judgeBlocked tells what closes a cable's way. Where a place is only what is
// customary, it may be another that is closed.
func judgeBlocked(c *kit.Case, r *run, room *route.Room) {
	if r.failed != nil {
		describe(c.Judged(kit.Unknown), r).Say("untold").Word("reason", r.failed.Error())
		return
	}
	verdict, text, obstacles := kit.Fail, "narrow", closed(room, r.way.Blockage)
	if r.assumed {
		verdict = kit.Unknown
	}
	if obstacles != "" {
		text = "blocked"
	}
	describe(c.Judged(verdict), r).Say(text).Word("obstacles", obstacles).Number("thickness", kit.Constant(r.thickness(), "mm")).Remedy("clear")
}

// closed names what closes a way.
func closed(room *route.Room, b *route.Blockage) (names string) {
	for _, i := range b.Obstacles {
		if names != "" {
			names += ", "
		}
		names += room.Obstacles[i].Name
	}
	return names
}

// describe fills in what all texts about a run say.
func describe(f *kit.Finding, r *run) *kit.Finding {
	if r.ribbon != nil {
		return f.About(r.item, r.to).Word("riser", r.item.Name()).Word("part", r.to.Name())
	}
	if r.lead {
		return f.About(r.item, r.supply, r.to).Word("connector", r.socket.GetConnector()).Word("from", r.supply.Name()).Word("part", r.to.Name())
	}
	return f.About(r.item, r.supply, r.to).Word("connector", r.socket.GetConnector()).
		Word("supply", r.supply.Name()).Word("part", r.to.Name())
}

// solvedArrangement is the arrangement that the build is judged in and what was
// laid in it, where the enclosure has geometry and the parts fit.
func solvedArrangement(c *kit.Case) (*v1.Arrangement, *laying) {
	d := deskOf(c)
	if d == nil {
		return nil, nil
	}
	p := d.geometry()
	if p == nil || !p.found {
		return nil, nil // where parts are in each other's way, so are cables
	}
	return p.message(), &p.laying
}
