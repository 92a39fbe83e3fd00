package mating

import (
	"slipfit.example/rules/kit"
)

var frontPanelRule = kit.Rule{
	ID: "interface.front-panel", Title: "Headers for the front panel's leads", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindChassis, kit.KindBoard, kit.KindCable},
	Why:   "Sockets and switches of the front panel work only where the board has the header that their lead plugs onto.",
	Formula: "Margin is the number of the board's headers of one kind, with those that adapters in the build make out of others, less the leads of that kind. A lead that the " +
		"enclosure calls dispensable is missed and does not fail.",
	Sources: []sourceOf{sourceByID("board-tps-usb2"), sourceByID("board-tps-audio"), sourceByID("usb3-internal"), sourceByID("front-panel-io-2.2")},
	Reads:   []string{"chassis.front_leads", "board.headers", "cable.from", "cable.ends"},
	Texts: map[string]string{
		"pass":     "Every lead of {enclosure} ({leads}) finds its header on {board}.",
		"marginal": "Leads {kind} of {enclosure}: {measured}; headers for them on {board}: {required}; what is left unplugged can be done without.",
		"fail":     "Leads {kind} of {enclosure}: {measured}; headers for them on {board}: {required}.",
		"unknown":  "Whether the front panel's leads find their headers cannot be told without {missing}; the board's manual has a table of its headers.",
		"no-board": textNoBoard,
	},
	Remedies: map[string]string{
		"adapter": "Choose a board with the header {kind}, or an adapter to it from one that is free.",
		"leave":   "Leave the lead {kind} unplugged and tie it up where no fan reaches it, or buy an adapter from a header that is free.",
	},
	Cautions: map[string]string{
		"force": "Never force a plug onto a header of another kind: the keys are there because the pins differ, and 5 V on a wrong pin breaks board or device.",
	},
	Judge: judgeFrontPanel,
}

func judgeFrontPanel(c *kit.Case) {
	h := hookupOf(c)
	if h.chassis == nil || h.withoutBoard(h.chassis) {
		return
	}
	leads, board := h.chassis.Part.GetChassis().FrontLeads, h.theBoard()
	about := func(f *kit.Finding) *kit.Finding {
		return f.About(h.chassis, h.board).Word("enclosure", h.chassis.Name()).Word("board", h.board.Name())
	}
	if len(leads) == 0 || len(board.Headers) == 0 {
		var missing kit.Value
		if missing = c.Absent(h.chassis.At("chassis.front_leads"), ""); len(leads) > 0 {
			missing = c.Absent(h.board.At("board.headers"), "")
		}
		about(c.Judged(kit.Unknown, missing))
		return
	}
	short := false
	for i, lead := range leads {
		kind := lead.GetHeader()
		if h.leadsOf(kind, i) > 0 {
			continue // told with the first of its kind
		}
		all, firm := h.leadsOf(kind, len(leads)), h.firmLeadsOf(kind)
		have := h.headersOf(kind) + h.adaptersTo(kind)
		if all <= have {
			continue
		}
		short = true
		f := about(c.AtMost(whole(all), whole(have))).Word("kind", kind)
		if firm <= have {
			f.AtWorst(kit.Marginal).Remedy("leave")
		} else {
			f.Remedy("adapter").Caution("force")
		}
	}
	if !short {
		about(c.Judged(kit.Pass)).Number("leads", whole(len(leads)))
	}
}

// leadsOf counts the front panel's leads of a kind among the first so many.
func (h *hookup) leadsOf(kind string, first int) (n int) {
	for _, lead := range h.chassis.Part.GetChassis().FrontLeads[:first] {
		if lead.GetHeader() == kind {
			n++
		}
	}
	return n
}

// firmLeadsOf counts the leads of a kind that cannot be done without.
func (h *hookup) firmLeadsOf(kind string) (n int) {
	for _, lead := range h.chassis.Part.GetChassis().FrontLeads {
		if lead.GetHeader() == kind && !lead.GetDispensable() {
			n++
		}
	}
	return n
}

// headersOf counts the board's headers of a kind.
func (h *hookup) headersOf(kind string) (n int) {
	for _, header := range h.theBoard().GetHeaders() {
		if header.GetKind() == kind {
			n += counted(header.Count)
		}
	}
	return n
}

// adaptersTo counts the plugs of a kind that cables of the build make out of
// headers of another kind which no lead takes. Each kind of header is counted for
// one kind of lead only, as builds have it.
func (h *hookup) adaptersTo(kind string) (n int) {
	for it := range h.c.Items(kit.KindCable) {
		cable := it.Part.GetCable()
		from := cable.GetFrom()
		if from == "" || from == kind {
			continue
		}
		ends := 0
		for _, end := range cable.Ends {
			if end.GetConnector() == kind {
				ends++
			}
		}
		if ends == 0 {
			continue
		}
		free := h.headersOf(from) - h.leadsOf(from, len(h.chassis.Part.GetChassis().FrontLeads))
		n += ends * max(0, min(free, it.Count*counted(cable.Count)))
	}
	return n
}
