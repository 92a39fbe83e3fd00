package thermal

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var mostSound = kit.Parameter{
	Name: "thermal.listener.max_dba", Unit: "dB(A)", Default: 40, Least: 0, Greatest: 120,
	Purpose: "How loud the machine may be at the listener with the room's own sound, as a meter would read it.",
	Source:  kit.CommonPractice,
}

var listenerRule = kit.Rule{
	ID: "thermal.listener", Title: "Sound at the listener", Since: "0.1.0",
	Why: "Noise is what a machine on a desk is noticed by. A reading means little without the room's own sound and the distance.",
	Formula: "The limit less the level at the listener: each source by its published sound, moved to its speed and to the listener's distance, " +
		"louder where something stands close before its blades, added up as levels and put on the room's floor. Ranges hold what makers' rooms and the enclosure change.",
	Parameters: []*kit.Parameter{&mostSound},
	Sources:    []standards.Source{srcSpeedLaw, kit.CommonPractice},
	Reads: []string{
		"fan.noises", "air_cooler.fans", "liquid_loop.fans", "liquid_loop.pump_noise_dba", "card.noises", "supply.noises", "use.fans",
		"room.noise_floor_dba", "room.listener_m",
	},
	UsesFacts: []string{ArrangementFact},
	Texts: map[string]string{
		"pass":     "A meter at the listener would read {measured} and may read {required}; the machine alone makes {machine} there.",
		"marginal": "A meter at the listener would read {measured} and may read {required}; by what is not exactly known it may read {most}. The machine alone makes {machine} there.",
		"fail":     "A meter at the listener would read {measured} and may read only {required}; the machine alone makes {machine} there.",
		"unknown":  "How loud it is cannot be told for want of {missing}; makers print the sound of fans, and a meter reads the room with the machine off.",
	},
	Remedies: map[string]string{
		"loudest": "Let {loudest} turn slower: a fifth less speed takes 5 dB off it. It alone makes {alone}.",
		"room":    "Move the machine away: twice the distance takes 6 dB off it.",
	},
	Cautions: map[string]string{
		"loud": "Levels above 80 dB(A) over a working day call for hearing protection by local law. A small computer that is forecast so loud has an error in its document.",
	},
	Judge: judgeListener, Bound: boundListener,
	Kinds: []kit.Kind{
		kit.KindChassis, kit.KindBoard, kit.KindProcessor, kit.KindAirCooler, kit.KindLiquidLoop, kit.KindRadiator, kit.KindCard,
		kit.KindSupply, kit.KindFan, kit.KindAccessory,
	},
}

// harmDBA is from where sound harms over a working day.
const harmDBA = 80

func judgeListener(c *kit.Case) {
	s := surveyOf(c)
	o := &s.outlook
	if !o.planned || o.state.Noise.Silent && len(o.state.Noise.Unknown) == 0 {
		return
	}
	n := &o.state.Noise
	var stated *float64
	if room := c.Build.GetRoom(); room != nil {
		stated = room.NoiseFloorDba
	}
	floor := c.Given(kit.Path{Field: "room.noise_floor_dba"}, stated, "dB(A)")
	from := []kit.Value{floor}
	for _, item := range n.Unknown {
		if it := c.ItemByID(item); it != nil {
			from = append(from, c.Absent(it.At(noiseField(it)), "dB(A)"))
		}
	}
	f := c.AtMost(c.Derived(rangeOf(n.Reading), "dB(A)", from...), c.Parameter(&mostSound))
	soften(f).Number("machine", kit.Constant(n.Machine.Nominal, "dB(A)")).Number("most", kit.Constant(n.Reading.High, "dB(A)"))
	loudest := -1
	for i := range o.sources {
		if o.sources[i].Heard && (loudest < 0 || o.sources[i].Level.Nominal > o.sources[loudest].Level.Nominal) {
			loudest = i
		}
	}
	if loudest >= 0 {
		src := &o.sources[loudest]
		name := src.Item
		if it := c.ItemByID(src.Item); it != nil {
			name = it.Name()
			f.About(it)
		}
		f.Word("loudest", name).Number("alone", kit.Constant(src.Level.Nominal, "dB(A)")).Remedy("loudest")
	}
	f.Remedy("room")
	if n.Known && n.Machine.Nominal > harmDBA {
		f.Caution("loud")
	}
}

// noiseField is where an item's sound stands.
func noiseField(it *kit.Item) string {
	switch it.Kind {
	case kit.KindAirCooler:
		return "air_cooler.fans"
	case kit.KindLiquidLoop:
		return "liquid_loop.fans"
	case kit.KindCard:
		return "card.noises"
	case kit.KindSupply:
		return "supply.noises"
	default:
		return "fan.noises"
	}
}
