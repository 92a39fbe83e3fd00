package mating

import "slipfit.example/rules/kit"

var sataPortsRule = kit.Rule{
	ID: "interface.sata-ports", Title: "SATA sockets for the drives", Since: "0.1.0", Alone: true,
	Kinds:   []kit.Kind{kit.KindDrive, kit.KindBoard},
	Why:     "Each drive on a SATA cable needs a data socket of its own on the board.",
	Formula: "Margin is the number of the board's SATA data sockets less the drives that speak SATA and are no M.2 drives.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads:   []string{"drive.bus", "drive.form_factor", "board.sata_ports"},
	Texts: map[string]string{
		"pass":     "Of the {required} SATA sockets of {board}, drives take {measured}.",
		"fail":     "Of the {required} SATA sockets of {board}, drives would take {measured}.",
		"unknown":  "Whether {board} has a SATA socket for each drive cannot be told without {missing}; its data sheet and the drives' say.",
		"no-board": textNoBoard,
	},
	Remedies: map[string]string{
		"fewer": "Leave out {shortfall} of the drives, take M.2 drives for them, or add a card with SATA sockets.",
	},
	Judge: judgeSATA,
}

func judgeSATA(c *kit.Case) {
	h := hookupOf(c)
	sure, open := 0, h.scratch[:0]
	var first *kit.Item
	for it := range c.Items(kit.KindDrive) {
		drive := it.Part.GetDrive()
		if isM2(drive) || drive.FormFactor == nil || busOf(drive) != "" && busOf(drive) != "sata" {
			continue
		}
		if first == nil {
			first = it
		}
		if busOf(drive) == "" {
			open = append(open, c.Absent(it.At("drive.bus"), ""))
			continue
		}
		sure += it.Count
	}
	h.scratch = open
	if first == nil || h.withoutBoard(first) {
		return
	}
	f := c.AtMost(whole(sure), h.number(h.board, "board.sata_ports", h.theBoard().SataPorts, ""))
	if f.Verdict() == kit.Fail {
		f.Despite(open...)
	} else {
		f.Using(open...)
	}
	for it := range c.Items(kit.KindDrive) {
		if drive := it.Part.GetDrive(); !isM2(drive) && drive.FormFactor != nil && (busOf(drive) == "sata" || busOf(drive) == "") {
			f.About(it)
		}
	}
	f.About(h.board).Word("board", h.board.Name()).Remedy("fewer")
}
