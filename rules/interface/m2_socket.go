package mating

import "slipfit.example/rules/kit"

var m2SocketRule = kit.Rule{
	ID: "interface.m2-socket", Title: "M.2 sockets for the drives", Since: "0.1.0",
	Why: "An M.2 drive goes in only where the key, the length, what it speaks and the height are right, and each socket holds one.",
	Formula: "The drives are dealt out to the sockets so that as many as can be find one whose key is among their notches, that lists their size, carries their bus and is high " +
		"enough; then so that they read fastest. A drive fails only where no way of dealing out leaves it a socket.",
	Sources:    []sourceOf{sourceByID("m2-sizes"), sourceByID("m2-keys"), sourceByID("m2-key-use")},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Reads: []string{"drive.form_factor", "drive.m2_key", "drive.m2_size", "drive.bus", "drive.height_mm", "board.m2_slots.key", "board.m2_slots.sizes",
		"board.m2_slots.sata", "board.m2_slots.height_mm", "board.m2_slots.shares_with", "board.m2_slots.lanes_shared"},
	Texts: map[string]string{
		"pass":        "{part} goes into {slot}.",
		"back":        "{part} goes into {slot} on the back of the board; fit it before the board goes in.",
		"marginal":    "{part} goes into {slot} but is {high} tall under {room}, so that a specimen of the tall kind touches.",
		"fail":        "There is no M.2 socket on {board} for {part}.",
		"fail-key":    "{part} is notched for key {key}, and no M.2 socket of {board} has it.",
		"fail-size":   "{part} is of the size {size}, and no M.2 socket of {board} with its key takes that: {slot} takes {sizes}.",
		"fail-bus":    "{part} speaks SATA, and no M.2 socket of {board} carries it.",
		"fail-height": "{part} is {high} tall, and {slot} leaves {room}.",
		"fail-taken":  "{board} has sockets for {seated} of {count} drives {part}; what is left is taken, or dead beside others in use.",
		"unknown":     "Whether {part} finds an M.2 socket cannot be told without {missing}; the board's manual has a table of its sockets.",
		"other-form":  "{part} speaks PCI Express and is no M.2 drive; what it plugs into is not described for {board}.",
		"no-board":    textNoBoard,
	},
	Remedies: map[string]string{
		"bare":  "Take a drive without a heatsink, or take off the board's own: {lacking} are short.",
		"other": "Choose a drive of a key, size and bus that a free socket takes, or a board with such a socket.",
		"card":  "Leave out a drive, or choose a board with more sockets.",
	},
	Judge: func(c *kit.Case) {
		h := hookupOf(c)
		for it := range c.Items(kit.KindDrive) {
			h.judgeM2(it)
		}
	},
}

func (h *hookup) judgeM2(it *kit.Item) {
	c, drive := h.c, it.Part.GetDrive()
	about := func(f *kit.Finding) *kit.Finding {
		return f.About(it, h.board).Word("part", it.Name())
	}
	switch {
	case drive.FormFactor == nil && drive.M2Size == nil:
		about(c.Judged(kit.Unknown, c.Absent(it.At("drive.form_factor"), "")))
	case !isM2(drive) && busOf(drive) == "pcie":
		if !h.withoutBoard(it) {
			about(c.Judged(kit.Unknown, c.Absent(h.board.At("board.headers"), ""))).Word("board", h.board.Name()).Say("other-form")
		}
	case !isM2(drive) || h.withoutBoard(it):
	case len(h.theBoard().GetM2Slots()) == 0:
		about(c.Judged(kit.Unknown, c.Absent(h.board.At("board.m2_slots"), "")))
	default:
		o := h.seats.outcomeOf(it)
		if o.verdict(it.Count) == kit.Fail {
			h.tellWithoutM2(about(c.Judged(kit.Fail)), it, o)
			return
		}
		h.tellSeatedM2(it, o)
	}
}

// tellSeatedM2 reports a drive whose pieces are all in, by the one that is least
// sure.
func (h *hookup) tellSeatedM2(it *kit.Item, o outcome) {
	c := h.c
	if o.worst == nil {
		return
	}
	to := &h.seats.places[o.worst.at]
	values := h.m2Values(it, to.number)
	f := c.Judged(o.verdict(it.Count), values...).About(it, h.board).Word("part", it.Name()).Word("slot", h.seats.placesOf(it))
	switch {
	case f.Verdict() == kit.Marginal:
		room := h.m2Room(it, to.number)
		f.Number("high", values[m2HighValue]).Number("room", values[m2FreeValue]).
			RemedyOf("bare", kit.Constant(-room.Low, "mm")).Number("lacking", kit.Constant(-room.Low, "mm"))
	case to.m2.GetBack():
		f.SayWhen(kit.Pass, "back")
	}
}

// Places of the heights in what m2Values returns.
const (
	m2HighValue = 4
	m2FreeValue = 5
)

// tellWithoutM2 says what keeps a drive out where it comes nearest to going in.
func (h *hookup) tellWithoutM2(f *kit.Finding, it *kit.Item, o outcome) {
	drive, slot := it.Part.GetDrive(), h.theBoard().GetM2Slots()[o.flawed]
	values := h.m2Values(it, o.flawed)
	f.Despite(values...).Word("board", h.board.Name()).Word("slot", slot.GetId())
	switch o.flaw {
	case flawKey:
		f.Say("fail-key").Word("key", drive.GetM2Key()).Remedy("other")
	case flawSize:
		f.Say("fail-size").Word("size", drive.GetM2Size()).Word("sizes", values[3].Word).Remedy("other")
	case flawBus:
		f.Say("fail-bus").Remedy("other")
	case flawHeight:
		short := kit.Constant(-h.m2Room(it, o.flawed).Low, "mm")
		f.Say("fail-height").Number("high", values[m2HighValue]).Number("room", values[m2FreeValue]).
			Number("lacking", short).RemedyOf("bare", short)
	case flawTaken:
		f.Say("fail-taken").Number("seated", whole(o.seated)).Number("count", whole(it.Count)).Remedy("card")
	default:
		f.Remedy("card")
	}
}
