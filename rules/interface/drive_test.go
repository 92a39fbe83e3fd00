package mating

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

// drive is an M.2 drive with further figures.
func drive(rest string) string {
	return "{id: drive, part: {drive: {form_factor: m2, m2_size: '2280', m2_key: M, height_mm: 2.3, bus: pcie" + rest + "}}}"
}

func TestDriveRate(t *testing.T) {
	socket := func(rest string) string {
		return m2Board("{id: m1, key: M, sizes: ['2280'], height_mm: 9, sata: true" + rest + "}")
	}
	const five = ", generation: 5, lanes: 4, read_gbs: 14"
	kittest.Table(t, Pack(), "interface.drive-rate", []kittest.Row{
		{Name: "14 GB/s on generation 5 x4, 15.75 GB/s", Build: build(socket(", generation: 5, lanes: 4"), drive(five)), Want: []string{"PASS drive,board margin 1.75 GB/s"}},
		{Name: "14 GB/s in a socket that gives 7.88 GB/s", Build: build(socket(", generation: 4, lanes: 4"), drive(five)), Want: []string{"MARGINAL drive,board margin -6.12 GB/s"}},
		{Name: "generation 4 x4 in generation 3: 3.938 GB/s", Build: build(socket(", generation: 3, lanes: 4"), drive(", generation: 4, lanes: 4, read_gbs: 3.9")), Want: []string{"PASS drive,board margin 0.04 GB/s"}},
		{Name: "two lanes of generation 5", Build: build(socket(", generation: 5, lanes: 2"), drive(five)), Want: []string{"MARGINAL drive,board margin -6.12 GB/s"}},
		{Name: "the policy asks for two thirds", Build: build(socket(", generation: 4, lanes: 4"), drive(five)),
			Policy: map[string]float64{"interface.drive-rate.least_share": 0.66}, Want: []string{"FAIL drive,board margin -6.12 GB/s"}},
		{Name: "lanes shared with the card's slot", Build: build("{id: board, part: {board: {card_slots: [{id: s1, width_lanes: 16, lanes: 16, generation: 5}], m2_slots: [{id: m1, key: M, sizes: ['2280'], height_mm: 9, generation: 5, lanes: 4, shares_with: [s1], lanes_shared: 2}]}}}",
			"{id: card, part: {card: {width_lanes: 16, generation: 5}}}", drive(five)), Want: []string{"MARGINAL drive,board margin -6.12 GB/s"}},
		{Name: "lanes left beside it not stated", Build: build("{id: board, part: {board: {card_slots: [{id: s1, width_lanes: 16, lanes: 16, generation: 5}], m2_slots: [{id: m1, key: M, sizes: ['2280'], height_mm: 9, generation: 5, lanes: 4, shares_with: [s1]}]}}}",
			"{id: card, part: {card: {width_lanes: 16, generation: 5}}}", drive(five)), Want: []string{"UNKNOWN drive,board missing items[0].part.board.m2_slots[0].lanes_shared"}},
		{Name: "of two sockets the drive takes the one that serves it", Build: build(m2Board("{id: m1, key: M, sizes: ['2280'], height_mm: 9, generation: 4, lanes: 4}, {id: m2, key: M, sizes: ['2280'], height_mm: 9, generation: 5, lanes: 4}"), drive(five)),
			Want: []string{"PASS drive,board margin 1.75 GB/s"}},
		{Name: "rate not stated: its own interface is served in full", Build: build(socket(", generation: 5, lanes: 4"), drive(", generation: 4, lanes: 4")), Want: []string{"PASS drive,board margin 0 GB/s"}},
		{Name: "rate beyond its own interface: that counts", Build: build(socket(", generation: 5, lanes: 4"), drive(", generation: 4, lanes: 4, read_gbs: 12")), Want: []string{"PASS drive,board margin 0 GB/s"}},
		{Name: "the socket's generation and lanes not stated", Build: build(socket(""), drive(five)),
			Want: []string{"UNKNOWN drive,board missing items[0].part.board.m2_slots[0].generation items[0].part.board.m2_slots[0].lanes"}},
		{Name: "the drive's not stated", Build: build(socket(", generation: 5, lanes: 4"), drive(", read_gbs: 7")),
			Want: []string{"UNKNOWN drive,board missing items[1].part.drive.generation items[1].part.drive.lanes"}},
		{Name: "three lanes: there is no such link", Build: build(socket(", generation: 5, lanes: 3"), drive(five)), Want: []string{"UNKNOWN drive,board missing items[0].part.board.m2_slots[0].lanes"}},
		{Name: "SATA: 6 Gb/s x 8/10 / 8 = 0.6 GB/s (Serial ATA revision 3)", Build: build("{id: board, part: {board: {sata_ports: 1}}}", "{id: disk, part: {drive: {form_factor: 2.5-inch, bus: sata, read_gbs: 0.55}}}"),
			Want: []string{"PASS disk,board margin 0.05 GB/s"}},
		{Name: "SATA in an M.2 socket", Build: build(socket(", generation: 5, lanes: 4"), "{id: drive, part: {drive: {form_factor: m2, m2_size: '2280', m2_key: M, height_mm: 2.3, bus: sata, read_gbs: 0.56}}}"),
			Want: []string{"PASS drive,board margin 0.04 GB/s"}},
		{Name: "no socket: the rule on sockets has said it", Build: build(m2Board("{id: m1, key: E}"), drive(five))},
		{Name: "no board", Build: build(drive(five))},
	})
}

func TestDriveFigure(t *testing.T) {
	kittest.Table(t, Pack(), "interface.drive-figure", []kittest.Row{
		{Name: "x4 of the fifth generation carries 15.75 GB/s before protocol overhead: 14 is plausible (common practice, no source)", Build: build(drive(", generation: 5, lanes: 4, read_gbs: 14")),
			Want: []string{"PASS drive margin 1.75 GB/s"}},
		{Name: "and 17 is not (common practice, no source)", Build: build(drive(", generation: 5, lanes: 4, read_gbs: 17")), Want: []string{"FAIL drive margin -1.25 GB/s"}},
		{Name: "stated to be off by two", Build: build("{id: drive, part: {drive: {form_factor: m2, bus: pcie, generation: 5, lanes: 4, read_gbs: 14}, figures: [{fields: [drive.read_gbs], minus: 2, plus: 2}]}}"),
			Want: []string{"MARGINAL drive margin 1.75 GB/s"}},
		{Name: "SATA: 0.6 GB/s after coding (Serial ATA revision 3)", Build: build("{id: disk, part: {drive: {form_factor: 2.5-inch, bus: sata, read_gbs: 0.7}}}"), Want: []string{"FAIL disk margin -0.1 GB/s"}},
		{Name: "generation and lanes not stated", Build: build(drive(", read_gbs: 7")), Want: []string{"UNKNOWN drive missing items[0].part.drive.generation items[0].part.drive.lanes"}},
		{Name: "a generation that no table has", Build: build(drive(", generation: 7, lanes: 4, read_gbs: 7")), Want: []string{"UNKNOWN drive missing items[0].part.drive.lanes"}},
		{Name: "rate not stated: nothing to judge", Build: build(drive(", generation: 5, lanes: 4"))},
	})
}

func TestSATAPorts(t *testing.T) {
	const board = "{id: board, part: {board: {sata_ports: 2}}}"
	const disks = "{id: disks, count: 2, part: {drive: {form_factor: 3.5-inch, bus: sata}}}"
	kittest.Table(t, Pack(), "interface.sata-ports", []kittest.Row{
		{Name: "as many as sockets", Build: build(board, disks), Want: []string{"PASS disks,board margin 0"}},
		{Name: "one too many", Build: build(board, disks, "{id: more, part: {drive: {form_factor: 2.5-inch, bus: sata}}}"), Want: []string{"FAIL disks,more,board margin -1"}},
		{Name: "M.2 drives need none", Build: build(board, disks, drive("")), Want: []string{"PASS disks,board margin 0"}},
		{Name: "one that may be a third", Build: build(board, disks, "{id: more, part: {drive: {form_factor: 2.5-inch}}}"),
			Want: []string{"UNKNOWN disks,more,board margin 0 missing items[2].part.drive.bus"}},
		{Name: "too many whatever that one is", Build: build("{id: board, part: {board: {sata_ports: 1}}}", disks, "{id: more, part: {drive: {form_factor: 2.5-inch}}}"),
			Want: []string{"FAIL disks,more,board margin -1 missing items[2].part.drive.bus"}},
		{Name: "sockets not stated", Build: build("{id: board, part: {board: {}}}", disks), Want: []string{"UNKNOWN disks,board missing items[0].part.board.sata_ports"}},
		{Name: "no board", Build: build(disks), Want: []string{"UNKNOWN disks missing items"}},
		{Name: "no such drive", Build: build(board, drive(""))},
	})
}
