package mating

import (
	"slices"

	"slipfit.example/rules/kit"
)

// tokenAntenna is what antennas provide, in a box or as an accessory.
const tokenAntenna = "antenna"

var antennasRule = kit.Rule{
	ID: "interface.antennas", Title: "Antennas for the board's radio", Since: "0.1.0", Alone: true,
	Why: "Inside an enclosure of metal a radio hardly reaches beyond it without antennas on its sockets at the rear.",
	Formula: "Margin is the number of antennas in the boxes and among the accessories less the board's antenna sockets. The machine runs without a radio, so that a shortage does not " +
		"fail.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads:   []string{"board.antenna_sockets", "kit.pieces", "accessory.provides"},
	Texts: map[string]string{
		"pass":     "Antenna sockets of {board}: {required}; antennas in the boxes: {measured}.",
		"marginal": "Antenna sockets of {board}: {required}; antennas in the boxes: {measured}, so that its radio reaches hardly anywhere.",
		"fail":     "Antenna sockets of {board}: {required}; antennas in the boxes: {measured}.",
		"unknown":  "Whether there are antennas for {board} cannot be told without {missing}; its manual lists what is in the box.",
	},
	Remedies: map[string]string{
		"buy": "Buy {shortfall} antennas, or leave the sockets empty where the machine is on a cable.",
	},
	Judge: func(c *kit.Case) {
		h := hookupOf(c)
		sockets := h.theBoard().GetAntennaSockets()
		if sockets == 0 {
			return
		}
		have := whole(h.provided(tokenAntenna))
		if have.Nominal < float64(sockets) && h.board.Part.Kit == nil {
			have = c.Absent(h.board.At("kit.pieces"), "")
		}
		c.AtLeast(have, h.number(h.board, "board.antenna_sockets", &sockets, "")).About(h.board).
			Word("board", h.board.Name()).AtWorst(kit.Marginal).Remedy("buy", tokenAntenna)
	},
}

// provided counts the pieces of one token in the boxes and among the accessories.
func (h *hookup) provided(token string) (n int) {
	for it := range h.c.AllItems() {
		if it.Kind == kit.KindAccessory && slices.Contains(it.Part.GetAccessory().GetProvides(), token) {
			n += it.Count
		}
		for _, piece := range it.Part.GetKit().GetPieces() {
			if piece.GetProvides() == token {
				n += it.Count * counted(piece.Count)
			}
		}
	}
	return n
}
