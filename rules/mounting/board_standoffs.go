package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var boardStandoffsRule = kit.Rule{
	ID: "mounting.board-standoffs", Title: "Standoffs under the board", Since: "0.1.0",
	Why: "Without a standoff under every hole the board bends when plugs go in, and its underside touches the tray.",
	Formula: "Margin is the number of standoffs in the boxes less the number of holes that the board's form factor has screwed: four for Mini-ITX, " +
		"eight for microATX, nine for ATX.",
	Sources: []sourceOf{sourceByID("microatx-1.2-fig2"), sourceByID("mini-itx-1.1-table1")},
	Reads:   []string{"board.form_factor", "board.holes", "kit.fasteners", "chassis.layouts.mounts.joints", "joints"},
	Texts: map[string]string{
		"pass":    "{part} needs {required} standoffs, and the boxes hold them.",
		"fail":    "{part} needs {required} standoffs and the boxes hold {measured}.",
		"unknown": "Whether there are standoffs for {part} cannot be told without {missing}; look at the enclosure's tray and list of parts.",
	},
	Remedies: map[string]string{
		"buy": "Buy {lacking} standoffs that fit the tray's threads, unless the tray has fixed ones.",
	},
	Judge: func(c *kit.Case) { sceneOf(c).judgeBoard(standoffsOfBoard, "board-standoffs") },
}

// judgeBoard reports one kind of joint of the boards.
func (s *scene) judgeBoard(rule, buy string) {
	for i := range s.joints {
		j := &s.joints[i]
		if j.rule != rule {
			continue
		}
		board := j.item.Part.GetBoard()
		if holesOf(board) > 0 || j.need > 0 {
			if j.need > 0 {
				s.judge(j, buy, s.chassis)
			}
			continue
		}
		s.c.Judged(kit.Unknown, s.holesMissing(j.item, board)).About(j.item, s.chassis).Word("part", j.item.Name())
	}
}

// holesMissing is what to find out where a board's holes are not known.
func (s *scene) holesMissing(it *kit.Item, board *v1.Board) kit.Value {
	if board.FormFactor == nil {
		return s.c.Absent(it.At("board.form_factor"), "")
	}
	return s.c.Absent(it.At("board.holes"), "")
}
