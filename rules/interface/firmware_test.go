package mating

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestFirmware(t *testing.T) {
	board := func(rest string) string { return "{id: board, part: {board: {socket: am5" + rest + "}}}" }
	const cpu = "{id: cpu, part: {processor: {socket: am5, family: g2}}}"
	const list = ", processors: [{family: g1}, {family: g2, firmware: '1.30'}]"
	kittest.Table(t, Pack(), "interface.firmware", []kittest.Row{
		{Name: "newer", Build: build(board(list+", firmware: '1.40'"), cpu), Want: []string{"PASS board,cpu"}},
		{Name: "just that", Build: build(board(list+", firmware: '1.30'"), cpu), Want: []string{"PASS board,cpu"}},
		{Name: "older", Build: build(board(list+", firmware: '1.9'"), cpu), Want: []string{"FAIL board,cpu"}},
		{Name: "any will do", Build: build(board(list), "{id: cpu, part: {processor: {socket: am5, family: g1}}}"), Want: []string{"PASS board,cpu"}},
		{Name: "of two entries the stricter counts", Build: build(board(", firmware: '1.40', processors: [{family: g2}, {family: g2, firmware: '1.50'}, {family: g2, firmware: '1.30'}]"), cpu),
			Want: []string{"FAIL board,cpu"}},
		{Name: "a family that the list leaves out is not known to fail", Build: build(board(list), "{id: cpu, part: {processor: {socket: am5, family: g3}}}"),
			Want: []string{"UNKNOWN board,cpu missing items[0].part.board.processors"}},
		{Name: "no list", Build: build(board(""), cpu), Want: []string{"UNKNOWN board,cpu missing items[0].part.board.processors"}},
		{Name: "no family", Build: build(board(list), "{id: cpu, part: {processor: {socket: am5}}}"),
			Want: []string{"UNKNOWN board,cpu missing items[1].part.processor.family"}},
		{Name: "the board's firmware not stated", Build: build(board(list), cpu), Want: []string{"UNKNOWN board,cpu missing items[0].part.board.firmware"}},
		{Name: "versions that cannot be compared", Build: build(board(list+", firmware: F4"), cpu), Want: []string{"UNKNOWN board,cpu missing items[0].part.board.firmware"}},
		{Name: "another socket: the rule on sockets has said it", Build: build(board(list), "{id: cpu, part: {processor: {socket: am4, family: g2}}}")},
		{Name: "no processor", Build: build(board(list))},
	})
}
