package clearance

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var (
	leadSlack = kit.Parameter{
		Name: "clearance.lead-length.slack_mm", Unit: "mm", Default: 10, Least: 0, Greatest: 500,
		Purpose: "How much longer than its way a lead must be, so that it does not pull at its plug.",
		Source:  kit.CommonPractice,
	}
	leadStep = kit.Parameter{
		Name: "clearance.lead-length.step_mm", Unit: "mm", Default: 50, Least: 1, Greatest: 500,
		Purpose: "The steps of length in which leads and data cables are sold; the length to order is rounded up to whole steps.",
		Source:  kit.CommonPractice,
	}
	leadPlace = kit.Parameter{
		Name: "clearance.lead-length.place_mm", Unit: "mm", Default: 40, Least: 0, Greatest: 300,
		Purpose: "How far the data sockets of boards and drives may be from where they usually are.",
		Source:  kit.CommonPractice,
	}
)

var leadLengthRule = kit.Rule{
	ID: "clearance.lead-length", Title: "Leads and data cables long enough for their way", Since: "0.1.0", Overall: true,
	Why: "A lead of the front panel, of a fan or of a drive that is too short is found out last, when everything else is in its place.",
	Formula: "The shortest way round everything of matter in the arrangement is taken from the enclosure's wall, the corner of the fan's frame or the board's " +
		"data socket to the header or the drive, behind the tray where the enclosure leads cables there. Headers and cables are dealt so that all ways together " +
		"are shortest and as little as possible is left over. Margin is the lead's length less that way and the slack. Of equal leads the tightest is told. " +
		"A lead that the computer can do without is doubtful at worst.",
	Sources:    []sourceOf{makersLimit, standards.SATACableLength.Source, kit.CommonPractice},
	Parameters: []*kit.Parameter{&leadSlack, &leadStep, &leadPlace, &kit.LengthTolerance},
	Reads: []string{
		"chassis.front_leads.length_mm", "chassis.front_leads.from", "chassis.front_leads.dispensable", "chassis.compartments.cable_channel",
		"fan.lead_mm", "board.headers.at", "board.headers.count", "cable.ends.length_mm", "drive.bus",
	},
	Texts: map[string]string{
		"pass":     "The {connector} lead of {from} is {measured} long, and its way to {part} takes at most {required}, slack included.",
		"marginal": "The {connector} lead of {from} is {measured} long where its way to {part} takes {required}, slack included: it reaches, by less than the figures may be off.",
		"spared":   "The {connector} lead of {from} is {measured} long and does not reach {part}, its way takes {required}, slack included; the computer can do without it.",
		"fail":     "The {connector} lead of {from} is {measured} long, and its way to {part} takes at least {required}, slack included.",
		"unknown":  "Whether the {connector} lead of {from} reaches {part} cannot be told without {missing}.",
		"absent":   "No {connector} cable from {from} to {part} is named; its way takes {needed}, slack included: order one of {order}.",
		"blocked":  "The {connector} lead of {from} finds no way to {part}: {obstacles} in the way.",
		"untold":   "The way of the {connector} lead of {from} to {part} could not be worked out ({reason}); correct the places of its ends.",
		"narrow":   "The {connector} lead of {from} finds no way to {part}: the room there is too narrow.",
	},
	Remedies: map[string]string{
		"longer":  "Use an extension, or a lead of {order}.",
		"measure": "Lay a string along the way and measure before you order; {order} would be beyond doubt.",
		"clear":   "Make room for the lead, or choose another place for what it comes from.",
	},
	Judge: judgeLeadLength,
}

// judgeLeadLength judges the tightest of equal leads.
func judgeLeadLength(c *kit.Case) {
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
		case !r.lead || deskOf(c).out || !r.placed && len(r.missing) == 0 || isEased(list, i, l):
		case r.placed:
			judgeRun(c, r, l, room)
		default:
			describe(c.Judged(kit.Unknown, r.missing...), r)
		}
	}
}

// isEased reports whether another piece of the same item has a longer way on the
// same lead: that one is told. Of equal ones the first is.
func isEased(list []run, i int, l *laying) bool {
	r := &list[i]
	for k := range list {
		o := &list[k]
		if k == i || !o.lead || o.supply != r.supply || o.to != r.to || o.socket.GetConnector() != r.socket.GetConnector() || o.placed != r.placed {
			continue
		}
		if !r.placed && k < i {
			return true
		}
		if !r.placed {
			continue
		}
		l.bound(o)
		l.bound(r)
		more := o.reach() - r.reach()
		if more > 1e-9 || more > -1e-9 && k < i {
			return true
		}
	}
	return false
}

// reach is how much of its lead a run takes, by the bounds of its way: the longer
// one less what the lead has.
func (r *run) reach() float64 {
	way := r.lower
	if r.upper > 0 {
		way = r.upper
	}
	if r.length.Known() {
		way -= r.length.Nominal
	}
	return way
}

// offPlace is the policy's figure for a place that is only what is customary.
func (r *run) offPlace() *kit.Parameter {
	if r.lead {
		return &leadPlace
	}
	return &cablePlace
}
