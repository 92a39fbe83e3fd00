package audit

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var boardFormRule = kit.Rule{
	ID: "audit.board-form", Title: "A board's size against its form factor", Since: "0.1.0",
	Why:     "The form factor bounds the board's outline; a larger board covers standoffs and cables that the enclosure counts on.",
	Formula: "Width and depth are held against the form factor's outline: not above it by more than 1 mm, and not below two thirds of it.",
	Sources: []source{boards[0].Source, experience},
	Reads:   []string{"board.form_factor", "board.width_mm", "board.depth_mm"},
	Texts: texts("The outline of {part} is one of its form factor.",
		"Whether the outline of {part} is right cannot be told without {missing}; the form factor stands on the box."),
	Remedies: remedies(),
	Judge:    each(judgeBoardForm),
}

var boards = standards.Boards()

func judgeBoardForm(s *sheet) {
	board := s.it.Part.GetBoard()
	if board == nil || board.WidthMm == nil && board.DepthMm == nil {
		return
	}
	if board.FormFactor == nil {
		s.lack("board.form_factor", "")
		return
	}
	for i := range boards {
		form := &boards[i]
		if form.Token != *board.FormFactor {
			continue
		}
		side := func(field string, v *float64, standard float64) {
			s.hold(figure{field, v, "mm", standard * 0.66, standard + 1,
				func() string {
					return form.Name + " boards measure " + kit.FormatNumber(standard, "mm") + " there at most"
				}, false})
		}
		side("board.width_mm", board.WidthMm, form.WidthMM)
		side("board.depth_mm", board.DepthMm, form.DepthMM)
		return
	}
}
