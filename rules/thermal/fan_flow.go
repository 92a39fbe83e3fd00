package thermal

import (
	"strings"

	"slipfit.example/rules/air"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var fanFlow = kit.Rule{
	ID: "thermal.fan-flow", Title: "Fans that move air the way they should", Since: "0.1.0",
	Why:       "A fan that stalls makes noise and no air, and one that others push air through the wrong way makes the machine warmer than an empty opening.",
	Formula:   "The flow through each fan that turns, in the direction it blows, against the least that counts as working: a fiftieth of its free flow at its speed." + textSolved,
	Sources:   []standards.Source{srcNetwork, kit.CommonPractice},
	Reads:     []string{"fan.curve", "fan.max_flow_m3h", "fan.max_pressure_pa", "use.fans", "chassis.panels"},
	UsesFacts: []string{ArrangementFact},
	Texts: map[string]string{
		"pass":  "Every fan that turns moves air the way it blows; {least} comes least far, to {share} of its free flow.",
		"stall": "{fan} stalls: at {speed} it moves {measured} against the air of the others.",
		"back":  "Air is pushed back through {fan}, which moves {measured} at {speed}.",
		"may":   "{fan} moves {measured} at {speed}; by what is not exactly known it may stall.",
		// Every finding says one of the texts above; these are for verdicts that it does not come to.
		"fail":    "{fan} moves {measured} at {speed}.",
		"unknown": "What {fan} moves cannot be told for want of {missing}; data sheets print its greatest flow and pressure, and its size and speed will do. The forecast counts without it.",
	},
	Remedies: map[string]string{
		"turn":   "Turn it round, let it turn faster, or slow the fans that work against it.",
		"remove": "Take it out, if it is not needed.",
	},
	Judge: judgeFanFlow,
}

// unknownFans reports the fans of which too little is known to blow in the network.
func (s *survey) unknownFans(c *kit.Case) (count int) {
	for _, path := range s.outlook.plan.Gaps {
		at := splitPath(path)
		if !strings.HasSuffix(path, "fan.max_flow_m3h") {
			continue
		}
		for it := range c.AllItems() {
			if it.At("").Base == at.Base {
				c.Judged(kit.Unknown, c.Absent(at, "m3/h")).About(it).Word("fan", it.Name())
				count++
			}
		}
	}
	return count
}

// judgeFanFlow reports each fan that does not work, or once that all do.
func judgeFanFlow(c *kit.Case) {
	s := surveyOf(c)
	o := &s.outlook
	if !o.solved {
		return
	}
	bad, best, share := s.unknownFans(c), "", 0.0
	for i := range o.plan.Ways() {
		w := o.plan.Way(i, &o.state)
		it := c.ItemByID(w.Item)
		if w.Fan == air.NoFan || w.Fan == air.AtRest || w.RPM < 1 || it == nil {
			continue
		}
		if best == "" || w.Share < share {
			best, share = it.Name(), w.Share
		}
		key := ""
		switch {
		case w.Fan == air.Stalled:
			key = "stall"
		case w.Fan == air.BackFlow:
			key = "back"
		case w.WorstFan == air.Stalled || w.WorstFan == air.BackFlow:
			key = "may"
		default:
			continue
		}
		bad++
		flow := kit.Constant(0, "m3/h").With(rangeOf(w.FlowM3S).Scale(m3hPerM3S), "m3/h")
		f := c.AtLeast(flow, kit.Constant(0, "m3/h")).AtWorst(kit.Marginal).AtBest(kit.Marginal)
		f.Say(key).About(it).Word("fan", it.Name()).Number("speed", kit.Constant(w.RPM, "rpm")).Remedy("turn").Remedy("remove")
	}
	if bad == 0 && best != "" {
		c.Judged(kit.Pass).About(o.chassis).Word("least", best).Number("share", kit.Constant(share, "share"))
	}
}
