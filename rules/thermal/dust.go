package thermal

import (
	"strings"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var dustRule = kit.Rule{
	ID: "thermal.dust", Title: "Where dust enters", Since: "0.1.0",
	Why:       "Below the room's pressure the enclosure draws air through every slot; filters keep dust out only where the air that comes in passes them.",
	Formula:   "The air that comes in through openings with a filter over all the air that comes in; less than half is too little where fans blow in through filters." + textSolved,
	Sources:   []standards.Source{srcNetwork, kit.CommonPractice},
	Reads:     []string{"chassis.panels"},
	UsesFacts: []string{ArrangementFact},
	Texts: map[string]string{
		"pass":     "{share} of the air that comes in passes a filter; the inside is {pressure} against the room.",
		"without":  "No fan blows in through a filter: {share} of the air that comes in passes one by itself, and the inside is {pressure} against the room.",
		"marginal": "Only {share} of the air that comes in passes a filter; the inside is {pressure} against the room, and dust comes in unfiltered.",
		"fail":     "Only {share} of the air that comes in passes a filter.",
		"unknown":  "Where dust enters cannot be told for want of {missing}.",
	},
	Remedies: map[string]string{
		"balance": "Let fans behind the filters turn faster or those that blow out turn slower, so that the inside stays above the room's pressure.",
	},
	Judge: judgeDust,
}

// judgeDust weighs filtered against unfiltered air. Nothing is judged where no
// opening has a filter: there it makes no difference.
func judgeDust(c *kit.Case) {
	s := surveyOf(c)
	o := &s.outlook
	if !o.solved {
		return
	}
	filtered := filteredPanels(o.chassis)
	if len(filtered) == 0 {
		return
	}
	clean, all, blown := 0.0, 0.0, false
	for i := range o.plan.Ways() {
		w := o.plan.Way(i, &o.state)
		flow := w.FlowM3S.Nominal
		if !w.Outside || w.From == "room" && w.To == "beneath" {
			continue
		}
		inward := flow > 0 && (w.From == "room" || w.From == "beneath") || flow < 0 && (w.To == "room" || w.To == "beneath")
		if !inward {
			continue
		}
		flow = max(flow, -flow)
		all += flow
		// What comes from beneath passes the bottom's openings.
		if (w.From == "beneath" || w.To == "beneath") && filtered["bottom"] || filtered[w.Name] {
			clean += flow
			blown = blown || w.Item != "" && w.RPM >= 1
		}
	}
	if all <= 0 {
		return
	}
	share, verdict, key := clean/all, kit.Pass, ""
	switch {
	case !blown:
		key = "without"
	case share < 0.5:
		verdict = kit.Marginal
	}
	pressure := 0.0
	inside := 0
	for i := range o.plan.Zones() {
		if z := o.plan.Zone(i, &o.state); z.Inside {
			pressure += z.PressurePa.Nominal
			inside++
		}
	}
	c.Judged(verdict).Say(key).About(o.chassis).Number("share", kit.Constant(share, "share")).
		Number("pressure", kit.Constant(pressure/float64(max(1, inside)), "Pa")).Remedy("balance")
}

// filteredPanels are the panels whose openings all have a filter.
func filteredPanels(chassis *kit.Item) map[string]bool {
	var found map[string]bool
	for _, pn := range chassis.Part.GetChassis().GetPanels() {
		for _, op := range pn.GetOpenings() {
			if strings.Contains(op.GetCovering(), "filter") {
				if found == nil {
					found = map[string]bool{}
				}
				found[pn.GetId()] = true
			}
		}
	}
	return found
}
