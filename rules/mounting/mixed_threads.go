package mounting

import "slipfit.example/rules/kit"

var mixedThreadsRule = kit.Rule{
	ID: "mounting.mixed-threads", Title: "M3 and 6-32 screws side by side", Since: "0.1.0",
	Why: "M3 and 6-32 screws look alike, and each ruins the thread of the other: 6-32 is thicker and coarser.",
	Formula: "It is told whenever screws of both threads lie in the boxes; nothing is wrong with that as long as they are kept apart. " +
		"The pitches are 0.5 mm and 0.794 mm, the diameters 3.0 mm and 3.5 mm.",
	Sources: []sourceOf{sourceByID("thread-pair")},
	Reads:   []string{"kit.fasteners.thread"},
	Texts: map[string]string{
		"pass":    "The boxes hold M3 screws ({metric}) and 6-32 screws ({inch}); keep them apart.",
		"fail":    "The boxes hold M3 and 6-32 screws that are not told apart.",
		"unknown": "Which threads the screws in the boxes have is not known for want of {missing}.",
	},
	Cautions: map[string]string{
		"force": "Turn every screw by hand first and never force it: a screw of the other thread goes in a turn or two and then strips the hole.",
	},
	Judge: func(c *kit.Case) {
		s := sceneOf(c)
		var metric, inch *lot
		for i := range s.lots {
			l := &s.lots[i]
			switch thread := l.fastener.GetThread(); {
			case l.count == 0 || l.fastener.GetKind() != "screw" && l.fastener.GetKind() != "thumbscrew":
			case metric == nil && sameThread(thread, "M3"):
				metric = l
			case inch == nil && sameThread(thread, "6-32"):
				inch = l
			}
		}
		if metric == nil || inch == nil {
			return
		}
		c.Judged(kit.Pass, metric.size(c), inch.size(c)).About(metric.item).Word("metric", metric.item.Name()).
			Word("inch", inch.item.Name()).Caution("force")
	},
}
