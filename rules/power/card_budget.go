package power

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var cardBudget = kit.Rule{
	ID: "power.card-budget", Title: "Card within its slot and sockets", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindCard, kit.KindSupply, kit.KindCable, kit.KindBoard, kit.KindDrive},
	Why: "Slot and sockets each carry a limited power. A card that draws more overheats contacts, " +
		"and a 12V-2x6 plug whose sense contacts announce too little makes the card slow down or refuse to start.",
	Formula: "Slot power, 75 W for a x16 card and 25 W for a shorter one, plus the sustained power of each socket's connector, at most 600 W, " +
		"less the card's sustained power. Where a socket is a 12V-2x6, the same with the power that the best plug at hand announces.",
	Parameters: []*kit.Parameter{&kit.PowerTolerance},
	Sources: []standards.Source{
		standards.SlotPowers()[0].Source, standards.AuxLimits()[0].Source, standards.CardMaxW.Source, senseSource(),
	},
	Reads: []string{
		"card.demand.sustained_w", "card.power_sockets", "card.width_lanes", "supply.cables", "cable.ends", "use.loads",
	},
	Texts: map[string]string{
		"pass":           "{card} draws {measured} and its slot and sockets carry {required}, {margin} to spare.",
		"marginal":       "{card} draws {measured} as printed and its slot and sockets carry {required}; if it draws more than printed it goes {shortfall} over.",
		"fail":           "{card} draws {measured} and its slot and sockets carry only {required}.",
		"unknown":        "Whether slot and sockets carry {card} cannot be told for want of {missing}; its data sheet or its picture shows it.",
		"unknown-socket": "Whether slot and sockets carry {card} cannot be told: no limit is known for a {kind} socket.",
		"sense-pass":     "The plug for {card} announces {sense}, so slot and sockets bring {required} for its {measured}.",
		"sense-marginal": "The plug for {card} announces {sense}, so slot and sockets bring {required}; it draws {measured} as printed and may want {shortfall} more.",
		"sense-fail":     "The plug for {card} announces only {sense}, so slot and sockets bring {required} and it wants {measured}.",
		"sense-any":      "{card} draws so little that every power level of a 12V-2x6 plug suffices.",
		"sense-unknown":  "Whether the plug for {card} announces enough cannot be told for want of {missing}; the plug or the cable's label prints its watts.",
	},
	Remedies: map[string]string{
		"limit":      "Lower the card's power limit by {shortfall}.",
		"other-card": "Choose a card whose sockets suffice for what it draws.",
		"sense":      "Use a cable whose 12V-2x6 plug announces {level}.",
	},
	Cautions: map[string]string{
		"hot-contacts": "An overloaded or half seated plug gets hot enough to melt. Push it in until it latches, leave no gap, and do not bend the cable close behind it.",
	},
	Judge: judgeCardBudget,
}

// Slot power of a configured x16 card, and of any other.
var slotWatts, shortSlotWatts = func() (wide, short float64) {
	p := standards.SlotPowers()
	return p[0].Watt, p[1].Watt
}()

// senseLevels are the powers that a 12V-2x6 plug can announce, ascending.
var senseLevels = func() []float64 {
	var out []float64
	codes := standards.SenseCodes()
	for i := len(codes) - 1; i >= 0; i-- {
		if c := codes[i]; c.Connector == standards.Connector12V2x6 && c.SustainedW > 0 {
			out = append(out, c.SustainedW)
		}
	}
	return out
}()

func senseSource() standards.Source {
	code, err := standards.SenseCodeFor(standards.Connector12V2x6, standards.SenseGround, standards.SenseGround)
	if err != nil {
		panic(err)
	}
	return code.Source
}

func judgeCardBudget(c *kit.Case) {
	s := surveyOf(c)
	for it := range c.Items(kit.KindCard) {
		draw := s.drawOf(it)
		each := draw.With(draw.Scale(1/float64(it.Count)), "W")
		s.judgeCard(c, it, each)
		s.judgeSense(c, it, each)
	}
}

func (s *survey) judgeCard(c *kit.Case, it *kit.Item, draw kit.Value) {
	card := it.Part.GetCard()
	aux, strange := auxWatts(card, standards.CardMaxW.Value)
	if strange != "" {
		c.Judged(kit.Unknown).Say("unknown-socket").About(it).Word("card", it.Name()).Word("kind", strange)
		return
	}
	f := c.AtMost(draw, budget(slotOf(c, it, draw, aux), aux)).About(it).Word("card", it.Name())
	f.RemedyOf("limit", f.Shortfall())
	if f.Verdict() == kit.Fail {
		f.Remedy("other-card").Caution("hot-contacts")
	}
}

// slotOf is what the slot brings. A card whose width is not stated has at least
// what a short one has, and may need no more.
func slotOf(c *kit.Case, it *kit.Item, draw kit.Value, aux float64) kit.Value {
	lanes := it.Part.GetCard().WidthLanes
	watts := shortSlotWatts
	switch {
	case lanes != nil && *lanes >= 16:
		watts = slotWatts
	case lanes == nil && draw.High > shortSlotWatts+aux:
		return c.Absent(it.At("card.width_lanes"), "W")
	case lanes == nil:
		return c.Assume(it.At("card.width_lanes"), quantity.Exact(1), "").With(quantity.Exact(watts), "W")
	}
	n := float64(*lanes)
	return c.Figure(it, "card.width_lanes", &n, "", 0).With(quantity.Exact(watts), "W")
}

// budget is slot plus sockets, at most what one card may draw in all.
func budget(slot kit.Value, aux float64) kit.Value {
	return slot.With(quantity.Exact(min(slot.Nominal+aux, standards.CardMaxW.Value)), "W")
}

// auxWatts adds up what the sockets of a card carry, a 12V-2x6 at most sense. It
// names a socket for which no limit is known.
func auxWatts(card *v1.Card, sense float64) (watts float64, strange string) {
	for _, socket := range card.PowerSockets {
		limit, err := standards.AuxLimitFor(socket.GetConnector())
		if err != nil {
			return 0, socket.GetConnector()
		}
		each := limit.SustainedW
		if highPower(limit.Connector) {
			each = min(each, sense)
		}
		watts += each * float64(counted(socket.Count))
	}
	return watts, ""
}

// judgeSense compares what a card draws with what the plugs at hand announce.
// Where several cards want such plugs, those that draw more get those that
// announce more.
func (s *survey) judgeSense(c *kit.Case, it *kit.Item, draw kit.Value) {
	wanted := highPowerSockets(it)
	if wanted == 0 || !draw.Known() {
		return
	}
	ends := s.senseEnds(c)
	rank := s.wantedBefore(c, it)
	if rank+wanted > len(ends) {
		return // that a plug is missing another rule says
	}
	card := it.Part.GetCard()
	if least, strange := auxWatts(card, senseLevels[0]); strange == "" {
		slot := slotOf(c, it, draw, least)
		if slot.Known() && draw.High <= min(slot.Nominal+least, standards.CardMaxW.Value) {
			c.AtMost(draw, budget(slot, least)).About(it).Word("card", it.Name()).Say("sense-any")
			return
		}
	}
	s.holdSense(c, it, draw, ends, rank+wanted-1)
}

// holdSense judges by the plug that announces least among those for the card.
func (s *survey) holdSense(c *kit.Case, it *kit.Item, draw kit.Value, ends []kit.Value, place int) {
	card := it.Part.GetCard()
	unsaid, some := unknownAmong(ends)
	sense := greatest(ends, place)
	if !sense.Known() {
		c.Judged(kit.Unknown, sense).Say("sense-unknown").About(it).Word("card", it.Name())
		return
	}
	aux, strange := auxWatts(card, sense.Nominal)
	if strange != "" {
		return
	}
	if slot := slotOf(c, it, draw, aux); some && slot.Known() && draw.Nominal > slot.Nominal+aux {
		// Another plug, which does not say, may announce enough.
		c.Judged(kit.Unknown, unsaid).Say("sense-unknown").About(it).Word("card", it.Name())
		return
	}
	f := c.AtMost(draw, budget(slotOf(c, it, draw, aux), aux)).Using(sense).About(it).
		Word("card", it.Name()).Number("sense", sense)
	f.SayWhen(kit.Pass, "sense-pass").SayWhen(kit.Marginal, "sense-marginal").SayWhen(kit.Fail, "sense-fail").
		SayWhen(kit.Unknown, "sense-unknown")
	if level, ok := senseLevelFor(card, draw); ok {
		f.Number("level", kit.Constant(level, "W")).RemedyOf("sense", kit.Constant(level-sense.Nominal, "W"), standards.Connector12V2x6)
	}
	f.RemedyOf("limit", f.Shortfall())
}

// senseLevelFor is the least power level that suffices for a card. ok is false
// where none does.
func senseLevelFor(card *v1.Card, draw kit.Value) (level float64, ok bool) {
	slot := slotWatts
	if card.WidthLanes != nil && *card.WidthLanes < 16 {
		slot = shortSlotWatts
	}
	for _, level := range senseLevels {
		if aux, _ := auxWatts(card, level); slot+aux >= draw.High {
			return level, true
		}
	}
	return 0, false
}

func highPowerSockets(it *kit.Item) (n int) {
	for _, socket := range it.Part.GetCard().PowerSockets {
		if highPower(socket.GetConnector()) {
			n += counted(socket.Count) * it.Count
		}
	}
	return n
}

// wantedBefore counts the plugs that go to cards which draw more, or as much and
// stand earlier.
func (s *survey) wantedBefore(c *kit.Case, it *kit.Item) (n int) {
	own := s.drawOf(it).Nominal / float64(it.Count)
	earlier := true
	for other := range c.Items(kit.KindCard) {
		if other == it {
			earlier = false
			continue
		}
		if draw := s.drawOf(other).Nominal / float64(other.Count); draw > own || draw == own && earlier {
			n += highPowerSockets(other)
		}
	}
	return n
}

// senseEnds are what the 12V-2x6 plugs at hand announce, missing where a plug
// does not say.
func (s *survey) senseEnds(c *kit.Case) []kit.Value {
	var out []kit.Value
	if s.supply != nil {
		for i, cable := range s.supply.Part.GetSupply().Cables {
			out = appendSense(c, out, s.supply, "supply.cables["+strconv.Itoa(i)+"].", cable, counted(cable.Count))
		}
	}
	for it := range c.Items(kit.KindCable) {
		cable := it.Part.GetCable()
		out = appendSense(c, out, it, "cable.", cable, it.Count*counted(cable.Count))
	}
	return out
}

func appendSense(c *kit.Case, out []kit.Value, it *kit.Item, prefix string, cable *v1.Cable, count int) []kit.Value {
	for j, end := range cable.Ends {
		if !highPower(end.GetConnector()) {
			continue
		}
		sense := c.Figure(it, prefix+"ends["+strconv.Itoa(j)+"].sense_w", end.SenseW, "W", 0)
		for range count {
			out = append(out, sense)
		}
	}
	return out
}

// unknownAmong finds a value that is missing.
func unknownAmong(values []kit.Value) (kit.Value, bool) {
	for _, v := range values {
		if !v.Known() {
			return v, true
		}
	}
	return kit.Value{}, false
}

// greatest is the value at a place when known values stand first, from the
// greatest down.
func greatest(values []kit.Value, place int) kit.Value {
	for {
		best := -1
		for i, v := range values {
			if best < 0 || v.Known() && (!values[best].Known() || v.Nominal > values[best].Nominal) {
				best = i
			}
		}
		v := values[best]
		if place == 0 {
			return v
		}
		place--
		values[best] = values[len(values)-1]
		values = values[:len(values)-1]
	}
}
