package mating

import "slipfit.example/rules/kit"

var driveFigureRule = kit.Rule{
	ID: "interface.drive-figure", Title: "Quoted rate of the drives", Since: "0.1.0", Alone: true,
	Kinds:   []kit.Kind{kit.KindDrive},
	Why:     "A drive that is said to read more than its own interface can carry has a wrong figure in its entry, or is not the drive that was meant.",
	Formula: "Margin is what the drive's interface carries after line coding and before protocol overhead, less the rate that it is sold for.",
	Sources: []sourceOf{sourceByID("pcie-rates"), sourceByID("sata-rate")},
	Reads:   []string{"drive.read_gbs", "drive.bus", "drive.generation", "drive.lanes"},
	Texts: map[string]string{
		"pass":    "The {measured} that {part} is sold for are plausible: {link} carries {required}.",
		"fail":    "{part} cannot read {measured}: {link} carries {required} and no more.",
		"unknown": "Whether the rate that {part} is sold for is plausible cannot be told without {missing}; its data sheet names the interface.",
	},
	Remedies: map[string]string{
		"correct": "Look the rate, the generation and the lanes up in the drive's data sheet and correct the entry.",
	},
	Judge: func(c *kit.Case) {
		h := hookupOf(c)
		for it := range c.Items(kit.KindDrive) {
			if it.Part.GetDrive().ReadGbs != nil {
				h.judgeDriveFigure(it)
			}
		}
	},
}

func (h *hookup) judgeDriveFigure(it *kit.Item) {
	c, drive := h.c, it.Part.GetDrive()
	quote := c.Figure(it, "drive.read_gbs", drive.ReadGbs, "GB/s", 0)
	if busOf(drive) == "sata" {
		c.AtMost(quote, kit.Constant(sataRate, "GB/s")).About(it).Word("part", it.Name()).Word("link", "SATA").Remedy("correct")
		return
	}
	generation := h.number(it, "drive.generation", drive.Generation, "")
	lanes := h.number(it, "drive.lanes", drive.Lanes, "")
	row := link{int(drive.GetGeneration()), int(drive.GetLanes())}.row()
	if row.gbs == 0 {
		if generation.Known() && lanes.Known() {
			lanes = c.Absent(it.At("drive.lanes"), "")
		}
		c.Judged(kit.Unknown, quote, generation, lanes).About(it).Word("part", it.Name())
		return
	}
	c.AtMost(quote, kit.Constant(row.gbs, "GB/s")).Using(generation, lanes).About(it).
		Word("part", it.Name()).Word("link", row.name).Remedy("correct")
}
