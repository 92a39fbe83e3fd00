package power

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"

	v1 "slipfit.example/proto/slipfit/v1"
)

var srcPinout = standards.Source{
	ID: "modular-pinout", Title: "supply side of modular cables, which no standard fixes", Standing: standards.CommonPractice, Witnesses: 1,
}

var pinout = kit.Rule{
	ID: "power.pinout", Title: "Modular cables of the supply's own pin-out", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindSupply, kit.KindCable},
	Why: "No standard fixes the supply's end of a modular cable. A cable of another set often fits the plug, " +
		"puts 12 V where 5 V or ground belongs, and destroys drives, board and card at once.",
	Formula: "The identity of each modular cable's pin-out must be that of the supply, letter by letter; where either is not known, nothing is known.",
	Sources: []standards.Source{srcPinout},
	Reads:   []string{"supply.pinout", "supply.outlets", "supply.cables", "cable.pinout", "cable.from", "cable.ends"},
	Texts: map[string]string{
		"pass":    "{cable} has the pin-out of {supply}, {required}.",
		"fail":    "{cable} has pin-out {measured} and {supply} has {required}: it may fit the plug and destroy what it feeds.",
		"unknown": "Whether {cable} has the pin-out of {supply} cannot be told for want of {missing}; leave it out until its maker names the supplies that it is made for.",
		"own-fail": "A cable listed with {supply} has pin-out {measured} and the supply has {required}; one of the two entries is wrong, " +
			"or the cable belongs to another set.",
	},
	Remedies: map[string]string{
		"own-set": "Use only the cables that came with {supply}, or order ones made for its pin-out {required}.",
	},
	Cautions: map[string]string{
		"mixed-set": "A modular cable of another set can fit the plug and destroy the parts that it feeds. Never mix sets. " +
			"Switch the supply off and unplug it before a cable is changed, and let a qualified person measure a cable of unknown origin before use.",
	},
	Judge: judgePinout,
}

func judgePinout(c *kit.Case) {
	s := surveyOf(c)
	if s.supply == nil {
		return
	}
	supply := s.supply.Part.GetSupply()
	own := c.Word(s.supply, "supply.pinout", supply.Pinout)
	for i, cable := range supply.Cables {
		// A cable in the supply's own box belongs to it unless it says otherwise.
		if cable.Pinout != nil && supply.Pinout != nil && *cable.Pinout != *supply.Pinout {
			theirs := c.Word(s.supply, supplyPinoutPath.at(i), cable.Pinout)
			c.Among(theirs, []string{own.Word}, own).SayWhen(kit.Fail, "own-fail").About(s.supply).
				Word("supply", s.supply.Name()).Remedy("own-set").Caution("mixed-set")
		}
	}
	for it := range c.Items(kit.KindCable) {
		cable := it.Part.GetCable()
		if !modular(supply, cable) {
			continue
		}
		theirs := c.Word(it, "cable.pinout", cable.Pinout)
		c.Among(theirs, []string{own.Word}, own).About(it, s.supply).
			Word("supply", s.supply.Name()).Word("cable", it.Name()).Remedy("own-set").CautionWhen("mixed-set")
	}
}

// modular reports whether a cable has to be taken for one that plugs into a
// supply's modular socket: it names a pin-out, or starts at a socket that the
// supply has, or feeds power and does not start at a standard connector.
func modular(supply *v1.Supply, cable *v1.Cable) bool {
	if cable.Pinout != nil {
		return true
	}
	if from := cable.GetFrom(); from != "" {
		for _, o := range supply.Outlets {
			if o.GetSocket() == from {
				return true
			}
		}
		if standards.Known(standards.VocabConnector, from) || standards.Known(standards.VocabHeader, from) {
			return false
		}
	}
	for _, end := range cable.Ends {
		if standards.Known(standards.VocabConnector, end.GetConnector()) {
			return true
		}
	}
	return false
}
