package power

import (
	"strings"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var unevenFactor = kit.Parameter{
	Name: "power.contacts.uneven_factor", Unit: "", Default: 1.2, Least: 1, Greatest: 6,
	Purpose: "How many times its equal share the busiest contact of a connector may carry; 1.2 is what five of six contacts carry when one has come loose.",
	Source:  kit.CommonPractice,
}

var contacts = kit.Rule{
	ID: "power.contacts", Title: "Current of each contact", Since: "0.1.0",
	Why: "Contacts side by side never share a current quite evenly, and one that carries far more than its share " +
		"is how plugs melt while the sum stays within the rating.",
	Formula: "The contact's rating less its current: the current of the rail through the mated pair, from the solved network of cables, " +
		"over the contacts that carry it. The high end takes draws as high and the rail as low as they may be, and the busiest contact " +
		"with its uneven share. A supply that names its design guide has the better terminals that " +
		"guides have called for since 2005; without a named guide, and in adapters, standard ones count.",
	Parameters: []*kit.Parameter{&unevenFactor, &kit.PowerTolerance},
	Sources:    contactSources(),
	Reads: []string{
		"supply.cables", "supply.outlets", "supply.guide", "cable.ends", "cable.power_wires", "cable.gauge_awg", "board.power_sockets",
		"card.power_sockets", "drive.power_sockets", "processor.demand", "card.demand", "drive.demand", "board.demand", "use.loads",
	},
	Texts: map[string]string{
		"pass": "Every contact of the power plugs stays within its rating; the busiest is {rail} of the {plug} plug at {parts}: " +
			"{measured} each when they share evenly, {top} with an uneven share, of {required}.",
		"marginal": "Contacts of {rail} in the {plug} plug at {parts} carry {measured} each when they share evenly, of {required}; " +
			"with an uneven share one may carry {top}.",
		"fail": "Contacts of {rail} in the {plug} plug at {parts} carry {measured} each, and one carries {required}.",
		"unknown": "Whether the contacts of the power plugs hold cannot be told everywhere for want of {missing}; " +
			"data sheets list what parts draw, and the plug's shape its kind.",
		"over-already": "Contacts of {rail} in the {plug} plug at {parts} carry {measured} each by the draws that are known, and one carries {required}; " +
			"not known: {missing}.",
		"strange": "Whether the contacts of the {plug} plug at {parts} hold cannot be told: its ratings are not known.",
		"untold": "What the contacts carry cannot be told: there are too many sockets to follow the current to each; " +
			"check the build in smaller pieces.",
		"collapse": "What the contacts carry cannot be told: the cables cannot bring what {parts} asks for.",
	},
	Remedies: map[string]string{
		"more-plugs": "Feed {parts} by another cable as well, or by a connector with more contacts.",
		"less":       "Lower the power limit of {parts}, so that the busiest contact is relieved of {shortfall}.",
		"seat":       "Use new plugs of the supply's own make, push each in until it latches, and look at its contacts after the first hours of load.",
	},
	Cautions: map[string]string{
		"burn": "A contact over its rating heats, loosens, and heats more, until plug and socket melt. If a plug smells, is brown or feels hot, " +
			"switch off, unplug the mains cord, let it cool, and use neither plug nor socket again.",
	},
	Judge: judgeContacts,
	Bound: boundContacts,
}

// contactSources are the sources of the ratings, each once.
func contactSources() (out []standards.Source) {
	seen := map[string]bool{}
	for _, r := range standards.ContactRatings() {
		if !seen[r.Source.ID] {
			seen[r.Source.ID] = true
			out = append(out, r.Source)
		}
	}
	return append(out, srcContactOhms)
}

// contactRating is what one contact carries with the better terminals of its
// family, or with standard ones.
func contactRating(connector string, better bool) (quantity.Range, bool) {
	r, known := ratingTable[connector]
	switch {
	case connector == standards.ConnectorPeripheral4: // what to plan with is known from memory only
	case better:
		return quantity.Exact(r.High), known
	default:
		r.Nominal = r.Low
	}
	return r, known
}

var ratingTable = func() map[string]quantity.Range {
	out := map[string]quantity.Range{}
	for _, c := range standards.Connectors() {
		low, err := standards.ContactRatingFor(c.Token, standards.TerminalLowest)
		if err != nil {
			continue
		}
		r := quantity.Exact(low.Ampere)
		if hcs, err := standards.ContactRatingFor(c.Token, standards.TerminalHCS); err == nil {
			r.High = hcs.Ampere
		}
		if c.Token == standards.ConnectorPeripheral4 { // its rating on paper is for new contacts
			r.Low = standards.PeripheralPlanned.Value
		}
		out[c.Token] = r
	}
	return out
}()

// contactLoad is one leg's contacts in comparison with their rating.
type contactLoad struct {
	feed, rail int
	amps       quantity.Range
	rating     quantity.Range
	strange    bool // the plug is of a kind that is not known
}

// contactLoads are what there is to say of the contacts: the plugs that are over their
// rating or of a kind that is not known, the busiest of the others, and what is missing.
type contactLoads struct {
	over    []contactLoad
	busiest contactLoad
	some    bool // there is a busiest one
	unknown []kit.Value
}

func judgeContacts(c *kit.Case) {
	s := surveyOf(c)
	r := s.operate(c)
	if r == nil {
		if s.laid.untold {
			c.Judged(kit.Unknown).Say("untold").About(s.supply)
		}
		return
	}
	circuit := s.laid.circuit
	if !r.solved {
		s.sayCollapse(c, r)
		return
	}
	uneven := c.Parameter(&unevenFactor)
	l := s.contactLoads(r, uneven.Nominal)
	for i := range l.over {
		if feed := l.over[i].feed; l.over[i].strange {
			c.Judged(kit.Unknown).Say("strange").About(s.fedItem(circuit, feed)).
				Word("plug", plugName(circuit.feeds.all[feed].plug)).Word("parts", s.fedName(circuit, feed))
		} else {
			s.reportContact(c, l.over[i], uneven)
		}
	}
	if len(l.unknown) > 0 {
		c.Judged(kit.Unknown, l.unknown...).About(s.supply)
	} else if l.some {
		s.reportContact(c, l.busiest, uneven)
	}
}

// contactLoads compares all plugs with their ratings. The list of those over it is the
// survey's.
func (s *survey) contactLoads(r *reading, uneven float64) contactLoads {
	circuit := s.laid.circuit
	out := contactLoads{over: s.overContacts[:0]}
	for i := range circuit.feeds.all {
		load, known := s.heaviest(circuit, r, i, uneven)
		if !known {
			if !standards.Known(standards.VocabConnector, circuit.feeds.all[i].plug) {
				out.over = append(out.over, contactLoad{feed: i, strange: true})
			}
			continue
		}
		gap := s.gapsOn(circuit, i)
		switch {
		case load.amps.Nominal > load.rating.Nominal || len(gap) == 0 && load.amps.High > load.rating.Low:
			out.over = append(out.over, load)
		case len(gap) > 0:
			out.unknown = append(out.unknown, gap...)
		case !out.some || load.share() > out.busiest.share():
			out.busiest, out.some = load, true
		}
	}
	s.overContacts = out.over
	return out
}

// share is how much of its rating the busiest contact takes at worst.
func (l contactLoad) share() float64 { return l.amps.High / l.rating.Low }

// heaviest is the rail of a plug whose contacts come nearest to their rating.
func (s *survey) heaviest(c *circuit, r *reading, feed int, uneven float64) (out contactLoad, known bool) {
	f := &c.feeds.all[feed]
	rating, ok := contactRating(f.plug, namesGuide(s.supply) && c.feeds.strands[f.cable].up < 0)
	if !ok {
		return out, false
	}
	for rail := range railCount + 1 {
		l, amps := c.legs[feed][rail], r.legs[feed][rail]
		if l.wires == 0 {
			continue
		}
		n := float64(l.carriers(f.plug))
		k := uneven
		if n == 1 {
			k = 1 // there is nobody to share with
		}
		load := contactLoad{feed: feed, rail: rail, rating: rating,
			amps: quantity.Range{Nominal: amps.nominal / n, Low: amps.nominal / n, High: amps.high / n * k}}
		if !known || load.share() > out.share() {
			out, known = load, true
		}
	}
	return out, known
}

func (s *survey) reportContact(c *kit.Case, l contactLoad, uneven kit.Value) {
	circuit := s.laid.circuit
	f := &circuit.feeds.all[l.feed]
	amps := kit.Constant(0, "A").With(l.amps, "A")
	out := c.AtMost(amps, kit.Constant(0, "A").With(l.rating, "A"))
	gap := s.gapsOn(circuit, l.feed)
	if len(gap) > 0 && out.Verdict() == kit.Fail {
		out.Say("over-already")
	}
	out.Despite(uneven)
	s.citeFeed(out, circuit, l.feed)
	out.About(s.fedItem(circuit, l.feed)).Word("plug", plugName(f.plug)).Word("parts", s.fedName(circuit, l.feed)).
		Word("rail", railNames[l.rail]).Number("top", kit.Constant(l.amps.High, "A"))
	if out.Verdict() == kit.Fail {
		out.Remedy("more-plugs").RemedyOf("less", out.Shortfall()).Caution("burn")
	} else if out.Verdict() == kit.Marginal {
		out.Remedy("seat").RemedyOf("less", out.Shortfall()).Caution("burn")
	}
	out.Despite(gap...)
}

// plugName is what people call a connector before the word plug.
func plugName(token string) string { return strings.TrimSuffix(connectorName(token), " plug") }

// sayCollapse reports that no currents exist.
func (s *survey) sayCollapse(c *kit.Case, r *reading) {
	parts := s.supply
	if r.collapsed >= 0 {
		parts = s.items[r.collapsed]
	}
	c.Judged(kit.Unknown).Say("collapse").About(parts).Word("parts", parts.Name())
}
