package mating

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

var driveRateShare = bottleneckShare("interface.drive-rate")

var driveRateRule = kit.Rule{
	ID: "interface.drive-rate", Title: "Rate of the drives", Since: "0.1.0",
	Why: "A drive reads no faster than its link carries: in a socket of an older generation, or one that shares its lanes, a fast drive is money spent on a rate that never comes.",
	Formula: "The link is the smaller generation and the smaller number of lanes of socket and drive, at the standard's rate after line coding. Margin is that rate less what the " +
		"drive is sold for, or less what its own interface carries where that is not stated or is less.",
	Sources:    []sourceOf{sourceByID("pcie-rates"), sourceByID("pcie-negotiation"), sourceByID("sata-rate")},
	Parameters: []*kit.Parameter{driveRateShare},
	Reads: []string{"drive.bus", "drive.generation", "drive.lanes", "drive.read_gbs", "board.m2_slots.generation", "board.m2_slots.lanes",
		"board.m2_slots.shares_with", "board.m2_slots.lanes_shared"},
	Texts: map[string]string{
		"pass":     "{part} reads up to {required}, and its link in {slot}, {link}, carries {measured}.",
		"marginal": "{part} could read {required}, but in {slot} its link is {link}, which carries {measured}.",
		"shared":   "{part} could read {required}, but {slot} shares its lanes with {sharer}, so that its link is {link} and carries {measured}.",
		"fail":     "{part} could read {required}, but in {slot} its link is {link} and carries {measured}, less than the share that the policy asks for.",
		"unknown":  "How fast {part} reads in {slot} cannot be told without {missing}; generation and lanes stand in the data sheets of drive and board.",
	},
	Remedies: map[string]string{
		"slower": "A drive of {measured} does the same here; for more choose a board with a socket of a newer generation.",
		"free":   "Leave {sharer} free, or put the drive where no lanes are shared.",
	},
	Judge: func(c *kit.Case) {
		h := hookupOf(c)
		for it := range c.Items(kit.KindDrive) {
			if h.board != nil {
				h.judgeDriveRate(it)
			}
		}
	},
}

func (h *hookup) judgeDriveRate(it *kit.Item) {
	c, drive := h.c, it.Part.GetDrive()
	if !isM2(drive) {
		if busOf(drive) == "sata" {
			h.tellDriveRate(it, kit.Constant(sataRate, "GB/s"), "a SATA socket", "SATA")
		}
		return
	}
	p := h.seats.outcomeOf(it).slowest
	if p == nil || busOf(drive) == "" {
		return // the rule on M.2 sockets has said it
	}
	to := &h.seats.places[p.at]
	if p.sata {
		h.tellDriveRate(it, kit.Constant(sataRate, "GB/s"), to.id, "SATA")
		return
	}
	row := h.seats.link(p, to, h.seats.used).row()
	if row.gbs == 0 {
		f := c.Judged(kit.Unknown, h.linkValues(p)...).About(it, h.board).Word("part", it.Name()).Word("slot", to.id)
		h.blameTables(f, p)
		return
	}
	values := h.linkValues(p)
	f := h.tellDriveRate(it, kit.Constant(row.gbs, "GB/s"), to.id, row.name).Using(values...)
	if to.shares(h.seats.used) && f.Verdict() == kit.Marginal {
		sharer := h.seats.sharer(to)
		f.Say("shared").Word("sharer", sharer).Remedy("free")
	}
}

// tellDriveRate compares a link's rate with what the drive can read.
func (h *hookup) tellDriveRate(it *kit.Item, carried kit.Value, slot, name string) *kit.Finding {
	return bottleneck(h.c, carried, h.readRate(it), driveRateShare).About(it, h.board).
		Word("part", it.Name()).Word("slot", slot).Word("link", name).Remedy("slower")
}

// readRate is what a drive can read: what it is sold for, and no more than its own
// interface carries.
func (h *hookup) readRate(it *kit.Item) kit.Value {
	drive, own := it.Part.GetDrive(), ownRate(it)
	quote := h.c.Figure(it, "drive.read_gbs", drive.ReadGbs, "GB/s", 0)
	if own > 0 && (!quote.Known() || quote.Nominal > own) {
		return h.c.Assume(it.At("drive.read_gbs"), quantity.Exact(own), "GB/s")
	}
	return quote
}

// ownRate is what a drive's own interface carries in GB/s, 0 where it is not known.
func ownRate(it *kit.Item) float64 {
	drive := it.Part.GetDrive()
	if busOf(drive) == "sata" {
		return sataRate
	}
	return link{int(drive.GetGeneration()), int(drive.GetLanes())}.rate()
}

// blameTables names a figure of the link as missing where all are stated and the
// standard's tables have no such link.
func (h *hookup) blameTables(f *kit.Finding, p *piece) {
	for _, v := range h.scratch {
		if !v.Known() {
			return
		}
	}
	to := &h.seats.places[p.at]
	at := m2Lanes
	if to.card != nil {
		at = slotLanes
	}
	f.Using(h.c.Absent(h.board.At(at.at(to.number)), ""))
}
