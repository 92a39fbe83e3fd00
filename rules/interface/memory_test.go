package mating

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/standards"
)

const (
	memoryBoard = "{id: board, part: {board: {memory: {kind: ddr5, module: udimm, sockets: 4, module_capacity_gb: 48, capacity_gb: 192, " +
		"rates: [{modules: 2, ranks: 1, rate_mts: 6400}, {modules: 2, ranks: 2, rate_mts: 6000}, {modules: 4, rate_mts: 3600}]}}}}"
	memoryCPU = "{id: cpu, part: {processor: {memory_kinds: [ddr4, ddr5], memory_rates: [{modules: 2, rate_mts: 5600}, {modules: 4, rate_mts: 3600}], memory_capacity_gb: 128}}}"
)

// memory is a kit of ddr5 modules with further figures.
func memory(rest string) string {
	return "{id: ram, part: {memory: {kind: ddr5, module: udimm" + rest + "}}}"
}

func TestMemoryKind(t *testing.T) {
	kittest.Table(t, Pack(), "interface.memory-kind", []kittest.Row{
		{Name: "the kind that both take", Build: build(memoryBoard, memoryCPU, memory("")), Want: []string{"PASS ram,board"}},
		{Name: "DDR4 has its key elsewhere (JEDEC MO-309, MO-329)", Build: build(memoryBoard, memoryCPU, "{id: ram, part: {memory: {kind: ddr4, module: udimm}}}"),
			Want: []string{"FAIL ram,board"}},
		{Name: "a small module has 262 contacts for 288 (JEDEC MO-337, from memory)", Build: build(memoryBoard, memoryCPU, "{id: ram, part: {memory: {kind: ddr5, module: sodimm}}}"),
			Want: []string{"FAIL ram,board"}},
		{Name: "a difference that is known fails whatever is missing", Build: build(memoryBoard, "{id: ram, part: {memory: {kind: ddr4}}}"),
			Want: []string{"FAIL ram,board missing items[1].part.memory.module"}},
		{Name: "the processor takes another", Build: build(memoryBoard, "{id: cpu, part: {processor: {memory_kinds: [ddr4]}}}", memory("")), Want: []string{"FAIL ram,board,cpu"}},
		{Name: "without a processor the board alone counts", Build: build(memoryBoard, memory("")), Want: []string{"PASS ram,board"}},
		{Name: "the processor does not say", Build: build(memoryBoard, "{id: cpu, part: {processor: {}}}", memory("")),
			Want: []string{"UNKNOWN ram,board missing items[1].part.processor.memory_kinds"}},
		{Name: "the kit does not say", Build: build(memoryBoard, memoryCPU, "{id: ram, part: {memory: {module: udimm}}}"),
			Want: []string{"UNKNOWN ram,board missing items[2].part.memory.kind"}},
		{Name: "the board does not say", Build: build("{id: board, part: {board: {}}}", memoryCPU, memory("")),
			Want: []string{"UNKNOWN ram,board missing items[0].part.board.memory"}},
		{Name: "no board", Build: build(memoryCPU, memory("")), Want: []string{"UNKNOWN ram missing items"}},
		{Name: "no memory", Build: build(memoryBoard, memoryCPU)},
	})
}

// The rule compares words; the standards' table has the reason behind them.
func TestMemoryKindsDifferAsTheStandardsSay(t *testing.T) {
	for _, pair := range [][2]string{{standards.MemoryDDR4UDIMM, standards.MemoryDDR5UDIMM}, {standards.MemoryDDR5UDIMM, standards.MemoryDDR5SODIMM}} {
		if a, err := standards.MemoryFits(pair[0], pair[1]); err != nil || a.Yes {
			t.Errorf("%s in %s: %v, %v", pair[0], pair[1], a, err)
		}
	}
}

func TestMemoryCount(t *testing.T) {
	kittest.Table(t, Pack(), "interface.memory-count", []kittest.Row{
		{Name: "fewer than sockets", Build: build(memoryBoard, memory(", modules: 2")), Want: []string{"PASS ram,board margin 2"}},
		{Name: "as many as sockets", Build: build(memoryBoard, "{id: ram, count: 2, part: {memory: {modules: 2}}}"), Want: []string{"PASS ram,board margin 0"}},
		{Name: "one too many", Build: build(memoryBoard, "{id: ram, part: {memory: {modules: 4}}}", "{id: more, part: {memory: {}}}"),
			Want: []string{"FAIL ram,more,board margin -1"}},
		{Name: "sockets not stated", Build: build("{id: board, part: {board: {}}}", memory("")), Want: []string{"UNKNOWN ram,board missing items[0].part.board.memory.sockets"}},
		{Name: "no memory", Build: build(memoryBoard), Want: []string{"UNKNOWN board missing items"}},
		{Name: "no board", Build: build(memory(""))},
	})
}

func TestMemoryModule(t *testing.T) {
	kittest.Table(t, Pack(), "interface.memory-module", []kittest.Row{
		{Name: "smaller", Build: build(memoryBoard, memory(", capacity_gb: 32")), Want: []string{"PASS ram,board margin 16 GB"}},
		{Name: "the largest", Build: build(memoryBoard, memory(", capacity_gb: 48")), Want: []string{"PASS ram,board margin 0 GB"}},
		{Name: "larger", Build: build(memoryBoard, memory(", capacity_gb: 64")), Want: []string{"FAIL ram,board margin -16 GB"}},
		{Name: "not stated by the kit", Build: build(memoryBoard, memory("")), Want: []string{"UNKNOWN ram,board missing items[1].part.memory.capacity_gb"}},
		{Name: "not stated by the board", Build: build("{id: board, part: {board: {}}}", memory(", capacity_gb: 32")),
			Want: []string{"UNKNOWN ram,board missing items[0].part.board.memory.module_capacity_gb"}},
		{Name: "no memory", Build: build(memoryBoard)},
	})
}

func TestMemoryTotal(t *testing.T) {
	kittest.Table(t, Pack(), "interface.memory-total", []kittest.Row{
		{Name: "as much as the processor takes", Build: build(memoryBoard, memoryCPU, memory(", modules: 4, capacity_gb: 32")), Want: []string{"PASS ram,board,cpu margin 0 GB"}},
		{Name: "more than the processor takes", Build: build(memoryBoard, memoryCPU, memory(", modules: 4, capacity_gb: 48")), Want: []string{"FAIL ram,board,cpu margin -64 GB"}},
		{Name: "several kits", Build: build(memoryBoard, memoryCPU, memory(", modules: 2, capacity_gb: 32"), "{id: more, count: 2, part: {memory: {capacity_gb: 16}}}"),
			Want: []string{"PASS ram,more,board,cpu margin 32 GB"}},
		{Name: "without a processor the board alone counts", Build: build(memoryBoard, memory(", modules: 4, capacity_gb: 48")), Want: []string{"PASS ram,board margin 0 GB"}},
		{Name: "not stated by the processor", Build: build(memoryBoard, "{id: cpu, part: {processor: {}}}", memory(", capacity_gb: 48")),
			Want: []string{"UNKNOWN ram,board,cpu missing items[1].part.processor.memory_capacity_gb"}},
		{Name: "not stated by board and kit", Build: build("{id: board, part: {board: {}}}", memoryCPU, memory("")),
			Want: []string{"UNKNOWN ram,board,cpu missing items[0].part.board.memory.capacity_gb items[2].part.memory.capacity_gb"}},
		{Name: "no memory", Build: build(memoryBoard, memoryCPU)},
	})
}

func TestMemoryRate(t *testing.T) {
	const board = memoryBoard
	kittest.Table(t, Pack(), "interface.memory-rate", []kittest.Row{
		{Name: "what both list", Build: build(board, memoryCPU, memory(", modules: 2, ranks: 1, rate_mts: 5600")), Want: []string{"PASS ram,board,cpu margin 0 MT/s"}},
		{Name: "the board lists it and the processor less", Build: build(board, memoryCPU, memory(", modules: 2, ranks: 1, rate_mts: 6400")), Want: []string{"MARGINAL ram,board,cpu margin 0 MT/s"}},
		{Name: "two ranks cost 400 MT/s on this board", Build: build(board, memoryCPU, memory(", modules: 2, ranks: 2, rate_mts: 6400")), Want: []string{"MARGINAL ram,board,cpu margin -400 MT/s"}},
		{Name: "all sockets filled: it falls back to 3600 MT/s", Build: build(board, memoryCPU, memory(", modules: 4, ranks: 2, rate_mts: 6000")), Want: []string{"MARGINAL ram,board,cpu margin -2400 MT/s"}},
		{Name: "the same fails where the policy asks for two thirds", Build: build(board, memoryCPU, memory(", modules: 4, ranks: 2, rate_mts: 6000")),
			Policy: map[string]float64{"interface.memory-rate.least_share": 0.66}, Want: []string{"FAIL ram,board,cpu margin -2400 MT/s"}},
		{Name: "and does not where it asks for half", Build: build(board, memoryCPU, memory(", modules: 4, ranks: 2, rate_mts: 6000")),
			Policy: map[string]float64{"interface.memory-rate.least_share": 0.5}, Want: []string{"MARGINAL ram,board,cpu margin -2400 MT/s"}},
		{Name: "a filling that is not listed counts like the next fuller one", Build: build(board, memoryCPU, memory(", modules: 3, ranks: 1, rate_mts: 3600")),
			Want: []string{"PASS ram,board,cpu margin 0 MT/s"}},
		{Name: "more modules than any list has", Build: build(board, memoryCPU, memory(", modules: 5, ranks: 1, rate_mts: 3600")),
			Want: []string{"UNKNOWN ram,board,cpu missing items[0].part.board.memory.rates items[1].part.processor.memory_rates"}},
		{Name: "more ranks than the list has for that filling", Build: build(board, memoryCPU, memory(", modules: 2, ranks: 4, rate_mts: 5600")),
			Want: []string{"UNKNOWN ram,board,cpu missing items[0].part.board.memory.rates"}},
		{Name: "ranks not stated where they matter", Build: build(board, memoryCPU, memory(", modules: 2, rate_mts: 5600")),
			Want: []string{"UNKNOWN ram,board,cpu missing items[2].part.memory.ranks"}},
		{Name: "ranks not stated where they do not", Build: build(board, memoryCPU, memory(", modules: 4, rate_mts: 3600")), Want: []string{"PASS ram,board,cpu margin 0 MT/s"}},
		{Name: "the slowest kit holds the other", Build: build(board, memoryCPU, memory(", modules: 2, ranks: 1, rate_mts: 3600"), "{id: slow, part: {memory: {modules: 2, ranks: 1, rate_mts: 3200}}}"),
			Want: []string{"MARGINAL ram,board,cpu margin -400 MT/s", "PASS slow,board,cpu margin 0 MT/s"}},
		{Name: "rate not stated", Build: build(board, memoryCPU, memory(", modules: 2, ranks: 1")), Want: []string{"UNKNOWN ram,board,cpu missing items[2].part.memory.rate_mts"}},
		{Name: "no processor", Build: build(board, memory(", modules: 2, ranks: 1, rate_mts: 5600")), Want: []string{"UNKNOWN ram missing items"}},
		{Name: "no memory", Build: build(board, memoryCPU)},
	})
}
