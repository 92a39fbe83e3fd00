package audit

import "testing"

func TestBoardForm(t *testing.T) {
	table(t, "audit.board-form", []row{
		{"Mini-ITX is 170 by 170 mm (Mini-ITX addendum)", "board: {form_factor: mini-itx, width_mm: 170, depth_mm: 170}", []string{"PASS entry"}},
		{"a short ATX board", "board: {form_factor: atx, width_mm: 305, depth_mm: 220}", []string{"PASS entry"}},
		{"inches", "board: {form_factor: mini-itx, width_mm: 6.7}", []string{"FAIL entry margin -105.5 mm"}},
		{"larger than its form factor", "board: {form_factor: mini-itx, width_mm: 190}", []string{"MARGINAL entry margin -19 mm"}},
		{"no form factor", "board: {width_mm: 170}", []string{"UNKNOWN entry missing items[0].part.board.form_factor"}},
		{"an own form factor", "board: {form_factor: own, width_mm: 170}", nil},
		{"no size", "board: {form_factor: atx}", nil},
	})
}
