package mating

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var firmwareRule = kit.Rule{
	ID: "interface.firmware", Title: "Firmware for the processor", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindBoard, kit.KindProcessor},
	Why:   "A board whose firmware is older than the processor does not start, and often cannot be updated without an older processor.",
	Formula: "The board must list the processor's family, and its firmware on delivery must not be older than the oldest one listed. Versions are compared run by run, " +
		"digits as whole numbers and letters by the alphabet. A family that the list leaves out is not known to fail: lists grow with each firmware.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads:   []string{"processor.family", "board.processors", "board.firmware"},
	Texts: map[string]string{
		"pass":         "{board} starts {processor} with the firmware {firmware} that it is delivered with; {needed} is the oldest that does.",
		"any":          "{board} lists the family {family} of {processor} for any firmware.",
		"fail":         "{processor} starts only with firmware {needed} or newer, and {board} is delivered with {firmware}.",
		"unknown":      "Whether the firmware of {board} starts {processor} cannot be told without {missing}; the board's maker publishes a list of processors.",
		"unlisted":     "{board} does not list the family {family} of {processor}; look into the maker's newest list of processors before buying.",
		"incomparable": "{board} is delivered with firmware {firmware} and needs {needed}, which cannot be compared; ask its maker which is the older.",
	},
	Remedies: map[string]string{
		"update": "Ask for a board with firmware {needed} or newer, or update it first: with an older processor, or where the board can write its firmware without one.",
	},
	Cautions: map[string]string{
		"writing": "Do not cut the power while firmware is written; a board that is left half written may never start again.",
	},
	Judge: judgeFirmware,
}

func judgeFirmware(c *kit.Case) {
	h := hookupOf(c)
	if !h.sameSocket() {
		return // the rule on the socket has said it
	}
	board, processor := h.board, h.processor
	family := c.Word(processor, "processor.family", processor.Part.GetProcessor().Family)
	list := board.Part.GetBoard().Processors
	about := func(f *kit.Finding) *kit.Finding {
		return f.About(board, processor).Word("board", board.Name()).Word("processor", processor.Name()).Word("family", family.Word)
	}
	i := supportOf(list, family.Word)
	switch {
	case !family.Known():
		about(c.Judged(kit.Unknown, family))
	case len(list) == 0:
		about(c.Judged(kit.Unknown, family, c.Absent(board.At("board.processors"), "")))
	case i < 0:
		about(c.Judged(kit.Unknown, family, c.Absent(board.At("board.processors"), ""))).Say("unlisted")
	case list[i].GetFirmware() == "":
		about(c.Judged(kit.Pass, family)).Say("any")
	default:
		needed := c.Word(board, supportFirmware.at(i), list[i].Firmware)
		firmware := c.Word(board, "board.firmware", board.Part.GetBoard().Firmware)
		about(h.judgeVersion(firmware, needed)).Using(family)
	}
}

func (h *hookup) judgeVersion(firmware, needed kit.Value) *kit.Finding {
	c := h.c
	order := incomplete
	if firmware.Known() {
		order = compareVersions(firmware.Word, needed.Word)
	}
	var f *kit.Finding
	switch order {
	case older:
		f = c.Judged(kit.Fail, firmware, needed).Remedy("update").Caution("writing")
	case same, newer:
		f = c.Judged(kit.Pass, firmware, needed)
	default:
		f = c.Judged(kit.Unknown, firmware, needed)
		if firmware.Known() {
			f.Using(c.Absent(h.board.At("board.firmware"), "")).Say("incomparable")
		}
	}
	return f.Word("firmware", firmware.Word).Word("needed", needed.Word)
}

// supportOf is the place of a family in a board's list, -1 where it is not there.
// Of several entries the one that asks for the newest firmware counts.
func supportOf(list []*v1.ProcessorSupport, family string) int {
	found := -1
	for i, s := range list {
		if s.GetFamily() != family {
			continue
		}
		if found < 0 || list[found].GetFirmware() == "" || compareVersions(s.GetFirmware(), list[found].GetFirmware()) == newer {
			found = i
		}
	}
	return found
}
