package mounting

import "slipfit.example/rules/kit"

var boardScrewsRule = kit.Rule{
	ID: "mounting.board-screws", Title: "Screws of the board", Since: "0.1.0",
	Why: "A board screw must have the thread of its standoff; the wrong one strips the standoff or stays loose.",
	Formula: "Margin is the number of board screws in the boxes whose thread is that of the standoffs, less the number of holes. The thread follows from the " +
		"standoff and is never assumed; where the mount's holes list their depth, a screw must hold in them through the board and not touch their ground.",
	Sources: []sourceOf{sourceByID("screw-uses-board"), sourceByID("microatx-1.2-fig2"), sourceByID("mini-itx-1.1-table1")},
	Reads:   []string{"board.form_factor", "board.holes", "kit.fasteners", "chassis.layouts.mounts.holes", "chassis.layouts.mounts.joints", "joints"},
	Texts: map[string]string{
		"pass":    "{part} needs {required} screws of the standoffs' thread, and the boxes hold them.",
		"fail":    "{part} needs {required} screws of the standoffs' thread and the boxes hold {measured}.",
		"unknown": "Whether the right screws for {part} are there cannot be told without {missing}; read the standoffs' thread with a screw that is known, M3 or 6-32.",
	},
	Remedies: map[string]string{
		"buy": "Buy {lacking} screws of the standoffs' thread.",
	},
	Judge: func(c *kit.Case) { sceneOf(c).judgeBoard(screwsOfBoard, "board-screws") },
}
