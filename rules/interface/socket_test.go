package mating

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestSocket(t *testing.T) {
	const board, cpu = "{id: board, part: {board: {socket: am5}}}", "{id: cpu, part: {processor: {socket: am5}}}"
	kittest.Table(t, Pack(), "interface.socket", []kittest.Row{
		{Name: "the same", Build: build(board, cpu), Want: []string{"PASS cpu,board"}},
		{Name: "capitals aside", Build: build(board, "{id: cpu, part: {processor: {socket: AM5}}}"), Want: []string{"PASS cpu,board"}},
		{Name: "another", Build: build(board, "{id: cpu, part: {processor: {socket: am4}}}"), Want: []string{"FAIL cpu,board"}},
		{Name: "a name that no table knows compares as text", Build: build("{id: board, part: {board: {socket: x1}}}", "{id: cpu, part: {processor: {socket: x1}}}"),
			Want: []string{"PASS cpu,board"}},
		{Name: "the processor's not stated", Build: build(board, "{id: cpu, part: {processor: {cores: 4}}}"),
			Want: []string{"UNKNOWN cpu,board missing items[1].part.processor.socket"}},
		{Name: "the board's not stated", Build: build("{id: board, part: {board: {}}}", cpu),
			Want: []string{"UNKNOWN cpu,board missing items[0].part.board.socket"}},
		{Name: "no board", Build: build(cpu), Want: []string{"UNKNOWN cpu missing items"}},
		{Name: "no processor", Build: build(board), Want: []string{"UNKNOWN board missing items"}},
		{Name: "two processors", Build: build(board, "{id: cpu, count: 2, part: {processor: {socket: am5}}}"), Want: []string{"UNKNOWN board missing items"}},
		{Name: "neither", Build: build("{id: fan, part: {fan: {size_mm: 120}}}"), Want: []string{"UNKNOWN missing items"}},
	})
}
