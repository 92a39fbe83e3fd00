package clearance

import (
	"strings"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var boardFormRule = kit.Rule{
	ID: "clearance.board-form", Title: "Form factor of the board", Since: "0.1.0",
	Why: "A board of another form factor finds no standoffs under its holes, or does not lie between the walls.",
	Formula: "The board's form factor must be one that the layout lists, or smaller than one of them and share its holes: every Mini-ITX hole is " +
		"one of microATX and of ATX.",
	Sources: boardSources(),
	Reads:   []string{"board.form_factor", "chassis.limits.board_form_factors", "chassis.layouts.limits.board_form_factors", "chassis.layouts.mounts.form_factors"},
	Texts: map[string]string{
		"pass":      "{board} is {measured}, which the enclosure takes.",
		"smaller":   "{board} is {measured}; the enclosure lists {required}, and a tray for {tray} takes this smaller board on its own holes.",
		"standoffs": "{board} is {form}; a tray for {tray} takes it by size, but has by the standard no standoffs for its holes {holes}.",
		"fail":      "{board} is {measured}; the enclosure takes only {required}.",
		"unknown":   "Whether {board} fits the enclosure cannot be told without {missing}; the form factor stands in the data sheets of both.",
		"no-board":  "The build names no board; add it to know whether it fits the enclosure.",
		"no-holes":  "{board} is {form}, which is smaller than {tray}, but its holes are not known; compare them with the enclosure's standoffs.",
	},
	Remedies: map[string]string{
		"other":     "Choose a board of one of the listed form factors, or an enclosure for {measured}.",
		"standoffs": "Look whether the enclosure has threads for the holes {holes}, and put standoffs there.",
	},
	Cautions: map[string]string{
		"stray": "Take out standoffs that lie under the board where it has no hole: they short its conductors.",
	},
	Judge: judgeBoardForm,
}

func boardSources() []sourceOf {
	out := []sourceOf{makersLimit}
	for _, token := range []string{standards.BoardMicroATX, standards.BoardMiniITX} {
		if b, err := standards.BoardByToken(token); err == nil {
			out = append(out, b.Source, b.HolesSource)
		}
	}
	return out[:4] // the Mini-ITX outline and holes stand in one table
}

func judgeBoardForm(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	board := c.First(kit.KindBoard)
	if board == nil {
		c.Judged(kit.Unknown, c.Absent(noItem, "")).About(d.chassis).Say("no-board")
		return
	}
	form := c.Word(board, "board.form_factor", board.Part.GetBoard().FormFactor)
	listed, list := d.forms(boardForms)
	if !form.Known() || !list.Known() || contains(listed, form.Word) {
		c.Among(form, listed, list).About(board, d.chassis).Word("board", board.Name())
		return
	}
	judgeSmallerBoard(d, board, form, listed, list)
}

// judgeSmallerBoard judges a board whose form factor is not listed by the largest
// kinship it has with one that is.
func judgeSmallerBoard(d *desk, board *kit.Item, form kit.Value, listed []string, list kit.Value) {
	var best *kinship
	for _, tray := range listed {
		if k := trays[[2]string{tray, form.Word}]; k != nil && (best == nil || k.rank < best.rank) {
			best = k
		}
	}
	c := d.c
	switch {
	case best == nil:
		c.Among(form, listed, list).About(board, d.chassis).Word("board", board.Name()).Remedy("other")
	case best.rank == holesUnknown:
		c.Among(form, best.forms, list).Using(c.Absent(board.At("board.holes"), "")).About(board, d.chassis).
			Word("board", board.Name()).Word("form", form.Word).Word("tray", best.tray).Say("no-holes")
	case best.rank == holesLacking:
		c.Judged(kit.Marginal, form, list).About(board, d.chassis).Say("standoffs").Word("form", form.Word).
			Word("board", board.Name()).Word("tray", best.tray).Word("holes", best.lacking).Remedy("standoffs").Caution("stray")
	default:
		c.Among(form, best.forms, list).About(board, d.chassis).Say("smaller").
			Word("board", board.Name()).Word("tray", best.tray).Caution("stray")
	}
}

// kinship is what a tray made for one form factor offers a smaller one.
type kinship struct {
	tray    string
	forms   []string // the board's own, as a list
	rank    int
	lacking string // letters of holes without a standoff
}

// Ranks of kinship, best first.
const (
	holesShared = iota
	holesLacking
	holesUnknown
)

// trays are all kinships of unlike form factors, by tray and board.
var trays = func() map[[2]string]*kinship {
	out := map[[2]string]*kinship{}
	for _, tray := range standards.Boards() {
		for _, board := range standards.Boards() {
			match, err := standards.TrayTakes(tray.Token, board.Token)
			if tray.Token == board.Token || err != nil || match.Determined && !match.Takes {
				continue
			}
			k := &kinship{tray: tray.Token, forms: []string{board.Token}}
			for _, h := range match.Unsupported {
				k.lacking += ", " + h.Letter
			}
			k.lacking = strings.TrimPrefix(k.lacking, ", ")
			switch {
			case !match.Determined:
				k.rank = holesUnknown
			case k.lacking != "":
				k.rank = holesLacking
			}
			out[[2]string{tray.Token, board.Token}] = k
		}
	}
	return out
}()
