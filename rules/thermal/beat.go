package thermal

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var beatRule = kit.Rule{
	ID: "thermal.beat", Title: "Fans that swell and fade together", Since: "0.1.0",
	Why: "Two fans whose blades pass almost equally often are heard as one tone that swells and fades. Ears follow that more than any steady sound.",
	Formula: "For each pair of sources the difference of their blade tones: below 15 Hz they wobble, unless the room's own sound covers the tones, which lie some 6 dB below the fans' whole sound. " +
		"Fans of one item turn at one setting and drift apart by about a per cent.",
	Sources: []standards.Source{srcSpeedLaw, kit.CommonPractice},
	Reads:   []string{"fan.blades", "fan.noises", "use.fans", "room.noise_floor_dba", "room.listener_m"},
	Texts: map[string]string{
		"pass":     "{first} and {second} lie close in tone, but at {level} the room's own sound of {floor} covers them.",
		"covered":  "The {count} of {first} drift apart in speed by a little, but at {level} the room's own sound of {floor} covers it.",
		"marginal": "{first} and {second} beat {hz} times a second and are heard {heard}; together they make {level} at the listener.",
		"alike":    "The {count} of {first} turn at one setting and drift apart by a little: their tone swells and fades slowly. Together they make {level} at the listener.",
		"fail":     "{first} and {second} beat {hz} times a second.",
		"unknown":  "Whether fans beat cannot be told for want of {missing}; their number of blades stands in data sheets.",
	},
	Remedies: map[string]string{
		"apart": "Set them {offset} further apart, or run both from one line at one speed.",
		"split": "Set them {offset} apart from each other, or leave it: some do not mind.",
	},
	Judge: judgeBeat,
}

// toneBelowDB is how far the blade tone of a small fan lies below its whole sound
// (common practice, no source).
const toneBelowDB = 6

// mostPairs bounds the findings: of many fans, the loudest pairs are told.
const mostPairs = 3

func judgeBeat(c *kit.Case) {
	s := surveyOf(c)
	o := &s.outlook
	floor := -100.0
	if room := c.Build.GetRoom(); room != nil && room.NoiseFloorDba != nil {
		floor = *room.NoiseFloorDba
	}
	for i := range o.pairs[:min(len(o.pairs), mostPairs)] {
		p := &o.pairs[i]
		first, second := c.ItemByID(p.First), c.ItemByID(p.Second)
		if first == nil || second == nil {
			continue
		}
		verdict := kit.Marginal
		if p.LevelDB-toneBelowDB < floor {
			verdict = kit.Pass
		}
		names := [2]string{first.Name(), second.Name()}
		if names[0] == names[1] && first != second {
			names = [2]string{first.ID, second.ID}
		}
		f := c.Judged(verdict).About(first).Word("first", names[0]).Word("second", names[1]).Word("heard", p.Beat.Hearing.String()).
			Number("hz", kit.Constant(p.Hz, "")).Number("level", kit.Constant(p.LevelDB, "dB(A)")).Number("floor", kit.Constant(floor, "dB(A)")).
			Number("offset", kit.Constant(p.OffsetRPM, "rpm")).Number("count", kit.Constant(float64(p.Count), ""))
		if first == second {
			f.SayWhen(kit.Marginal, "alike").SayWhen(kit.Pass, "covered").RemedyOf("split", kit.Constant(p.OffsetRPM, "rpm"))
			continue
		}
		f.About(second).RemedyOf("apart", kit.Constant(p.OffsetRPM, "rpm"))
	}
}
