package power

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var connectors = kit.Rule{
	ID: "power.connectors", Title: "A plug for every power socket", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindSupply, kit.KindCable, kit.KindBoard, kit.KindCard, kit.KindDrive},
	Why: "A part without its plug does not start. Plugs look alike and only some fit, outlets of a modular supply run out, " +
		"and a cable that is ordered later comes after the build has stopped.",
	Formula: "For each kind of socket on board, cards and drives: plugs that the best choice of cables can put there, less sockets. " +
		"Cables from the supply's box, cables of the build that fit its outlets, and adapters on them are assigned together so that as many " +
		"sockets as possible are filled; each modular cable takes one outlet; an adapter behind an adapter is not counted.",
	Sources: []standards.Source{standards.Matings()[0].Source, standards.AuxLimits()[0].Source},
	Reads: []string{
		"supply.outlets", "supply.cables", "supply.pinout", "cable.from", "cable.ends", "cable.count", "cable.pinout",
		"board.power_sockets", "card.power_sockets", "drive.power_sockets", "drive.form_factor", "card.demand.sustained_w",
	},
	Texts: map[string]string{
		"pass":             "{kind} plugs: {need} needed, {have} at hand, {spare} to spare.",
		"adapter":          "{kind} plugs: {need} needed, {have} at hand with adapters in use.",
		"extra":            "{kind} plugs: {need} needed and at hand; sockets left empty on {parts}: {open}, and the parts run without them.",
		"idle":             "{kind} sockets left empty on {parts}: {open}; the parts run without them.",
		"wished":           "{kind} plugs: none needed, and {have} at hand for sockets that the parts can run without.",
		"partial":          "{kind} plugs: {need} needed and at hand, but {partial} of them fill only half the socket, which then carries less power.",
		"fail":             "{kind} plugs: {need} needed on {parts}, and only {have} can be brought there.",
		"unknown":          "Whether the {kind} sockets get their plugs cannot be told for want of {missing}; the supply's data sheet lists its cables and sockets.",
		"too-many":         "There are too many ways to choose among the cables to try them all; list only those that are to be used.",
		"no-sockets":       "Which plugs {parts} needs cannot be told for want of {missing}; its data sheet or its picture shows the sockets.",
		"no-supply":        textNoSupply,
		"several-supplies": textSuppliers,
	},
	Remedies: map[string]string{
		"cables": "Add cables made for the pin-out of {supply} with so many {kind} plugs more: {lacking}; or choose a supply that brings them.",
		"whole":  "Use a cable whose plug fills the {kind} socket.",
	},
	Cautions: map[string]string{
		"no-force": "Never force a plug: processor and auxiliary plugs look alike and carry 12 V and ground the other way round. " +
			"Order only cables made for this supply, and switch it off and unplug it before a cable is changed.",
	},
	Judge: judgeConnectors,
}

func judgeConnectors(c *kit.Case) {
	s := surveyOf(c)
	w, laid := &s.wiring, s.wire(c)
	s.reportUnlisted(c)
	if len(w.needs) == 0 || s.withoutSupply(c) {
		return
	}
	if part := s.supply.Part.GetSupply(); len(part.Cables) == 0 {
		w.doubts = append(w.doubts, c.Absent(s.supply.At("supply.cables"), ""))
	}
	for token := range w.tokens {
		if w.needsToken(token) {
			s.judgeKind(c, token, laid.complete)
		}
	}
}

func (w *wiring) needsToken(token int) bool {
	needed, wished := w.demand(token)
	return needed+wished > 0
}

// reportUnlisted reports parts that surely have sockets and list none.
func (s *survey) reportUnlisted(c *kit.Case) {
	for it := range c.AllItems() {
		var field string
		switch it.Kind {
		case kit.KindBoard:
			if len(it.Part.GetBoard().PowerSockets) == 0 {
				field = "board.power_sockets"
			}
		case kit.KindCard:
			if draw := s.drawOf(it); len(it.Part.GetCard().PowerSockets) == 0 &&
				(!draw.Known() || draw.Nominal > slotWatts*float64(it.Count)) {
				field = "card.power_sockets"
			}
		case kit.KindDrive:
			if drive := it.Part.GetDrive(); len(drive.PowerSockets) == 0 && drive.GetFormFactor() != "m2" && drive.M2Size == nil {
				field = "drive.power_sockets"
			}
		}
		if field != "" {
			c.Judged(kit.Unknown, c.Absent(it.At(field), "")).Say("no-sockets").About(it).Word("parts", it.Name())
		}
	}
}

// judgeKind reports on the sockets of one connector.
func (s *survey) judgeKind(c *kit.Case, token int, complete bool) {
	w := &s.wiring
	needed, wished := w.demand(token)
	filled, spare := w.best.filled[token], w.spareFor(token)
	if open := wished - w.best.extra[token]; open > 0 {
		spare = 0 // what is over would have gone there
	}
	plugs := kit.Constant(float64(filled+spare), "")
	sockets := kit.Constant(float64(needed), "")
	short := filled < needed
	if !short && w.best.partial[token] == 0 && c.SpareAtMost(sockets, plugs) {
		return
	}
	var f *kit.Finding
	switch {
	case short && len(w.doubts) > 0:
		f = c.Judged(kit.Unknown, w.doubts...)
	case short && !complete:
		f = c.Judged(kit.Unknown).Say("too-many")
	default:
		f = c.AtLeast(plugs, sockets)
		s.explain(f, token, needed, wished)
	}
	w.name(f.About(s.supply), token)
	f.Word("kind", connectorName(w.tokens[token])).Word("supply", s.supply.Name())
	count(f, "need", needed)
	have := filled + spare
	if needed == 0 {
		have += w.best.extra[token]
	}
	count(f, "have", have)
	count(f, "spare", filled+spare-needed)
	count(f, "lacking", needed-filled)
	if f.Verdict() == kit.Fail {
		f.RemedyOf("cables", kit.Constant(float64(needed-filled), ""), w.tokens[token]).Caution("no-force")
	}
}

// name says whose sockets of a connector the finding is about.
func (w *wiring) name(f *kit.Finding, token int) {
	var last *kit.Item
	for i := range w.needs {
		n := &w.needs[i]
		if n.token != token {
			continue
		}
		f.Despite(n.value)
		if n.item == last { // sockets of one item stand together
			continue
		}
		if last == nil {
			f.Word("parts", n.item.Name())
		}
		f.About(n.item)
		last = n.item
	}
}

// count fills a name in the texts with a number of pieces.
func count(f *kit.Finding, name string, n int) {
	if n == 0 {
		f.Word(name, "0") // a number without unit prints as nothing at zero
		return
	}
	f.Number(name, kit.Constant(float64(n), ""))
}

// explain chooses the text for sockets that all get a plug.
func (s *survey) explain(f *kit.Finding, token, needed, wished int) {
	w := &s.wiring
	if f.Verdict() != kit.Pass {
		return
	}
	switch open := wished - w.best.extra[token]; {
	case w.best.partial[token] > 0:
		f.AtBest(kit.Marginal).Say("partial").Remedy("whole", w.tokens[token])
		count(f, "partial", w.best.partial[token])
	case open > 0:
		f.Say("extra")
		if needed == 0 {
			f.Say("idle")
		}
		count(f, "open", open)
	case needed == 0:
		f.Say("wished")
	case w.best.adapters > 0:
		f.Say("adapter")
	}
}

// spareFor counts the plugs that are left over and would fit a socket whole.
func (w *wiring) spareFor(token int) (n int) {
	for plug, left := range w.best.spare {
		if left > 0 && w.fitOf(plug, token) == fullFit {
			n += left
		}
	}
	return n
}

// connectorName is what people call a connector.
func connectorName(token string) string {
	if name, ok := connectorNames[token]; ok {
		return name
	}
	return token
}

var connectorNames = func() map[string]string {
	out := map[string]string{}
	for _, c := range standards.Connectors() {
		out[c.Token] = c.Name
	}
	return out
}()
