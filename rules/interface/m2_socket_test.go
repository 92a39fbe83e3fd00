package mating

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

// m2Board is a board with these sockets.
func m2Board(sockets string) string {
	return "{id: board, part: {board: {m2_slots: [" + sockets + "]}}}"
}

func TestM2Socket(t *testing.T) {
	const (
		front = "{id: front, key: M, sizes: ['2260', '2280'], lanes: 4, generation: 5, height_mm: 12, sata: false}"
		back  = "{id: rear, key: M, sizes: ['2280'], lanes: 4, generation: 4, height_mm: 4, back: true, sata: true}"
		radio = "{id: radio, key: E, sizes: ['2230'], lanes: 1, generation: 3, height_mm: 6}"
		bare  = "{id: drive, part: {drive: {form_factor: m2, m2_size: '2280', m2_key: M, bus: pcie, generation: 4, lanes: 4, height_mm: 2.3}}}"
		tall  = "{id: tall, part: {drive: {form_factor: m2, m2_size: '2280', m2_key: M, bus: pcie, generation: 5, lanes: 4, height_mm: 9}}}"
		sata  = "{id: old, part: {drive: {form_factor: m2, m2_size: '2280', m2_key: B+M, bus: sata, height_mm: 2.2}}}"
	)
	kittest.Table(t, Pack(), "interface.m2-socket", []kittest.Row{
		{Name: "one drive, one socket", Build: build(m2Board(front), bare), Want: []string{"PASS drive,board"}},
		{Name: "22110 is 22 mm wide and 110 mm long (PCI Express M.2 specification, name form)",
			Build: build(m2Board("{id: long, key: M, sizes: ['22110'], height_mm: 9}"), "{id: drive, part: {drive: {form_factor: m2, m2_size: '22110', m2_key: M, bus: pcie, height_mm: 3}}}"),
			Want:  []string{"PASS drive,board"}},
		{Name: "2280 on standoffs at 42 and 60 mm (PCI Express M.2 specification, sizes)", Build: build(m2Board("{id: short, key: M, sizes: ['2242', '2260'], height_mm: 9}"), bare),
			Want: []string{"FAIL drive,board"}},
		{Name: "a radio for key E in a socket of key M: notch at 24 to 31, key at 59 to 66 (PCI Express M.2 specification, key positions)",
			Build: build(m2Board(front), "{id: radio, part: {drive: {form_factor: m2, m2_size: '2230', m2_key: E, bus: pcie, height_mm: 2}}}"), Want: []string{"FAIL radio,board"}},
		{Name: "two notches go into either key", Build: build(m2Board(back), sata), Want: []string{"PASS old,board"}},
		{Name: "SATA in a socket that does not carry it", Build: build(m2Board(front), sata), Want: []string{"FAIL old,board"}},
		{Name: "SATA in a socket that does not say", Build: build(m2Board("{id: x, key: M, sizes: ['2280'], height_mm: 9}"), sata),
			Want: []string{"UNKNOWN old,board missing items[0].part.board.m2_slots[0].sata"}},
		{Name: "too tall", Build: build(m2Board(back), tall), Want: []string{"FAIL tall,board"}},
		{Name: "as tall as there is room, which a specimen may pass", Build: build(m2Board("{id: x, key: M, sizes: ['2280'], height_mm: 9}"), tall), Want: []string{"MARGINAL tall,board"}},
		{Name: "the same measured to 0.1 mm beside 0.7 mm of room",
			Build: build(m2Board("{id: x, key: M, sizes: ['2280'], height_mm: 9.7}"), tall[:len(tall)-2]+", figures: [{fields: [drive.height_mm], minus: 0.1, plus: 0.1}]}}"), Want: []string{"PASS tall,board"}},
		{Name: "published lengths taken as exact", Build: build(m2Board("{id: x, key: M, sizes: ['2280'], height_mm: 9}"), tall),
			Policy: map[string]float64{"tolerance.length_mm": 0}, Want: []string{"PASS tall,board"}},
		{Name: "the tall one takes the front, the bare one makes room for it", Build: build(m2Board(front+", "+back), bare, tall), Want: []string{"PASS drive,board", "PASS tall,board"}},
		{Name: "and whichever comes first", Build: build(m2Board(front+", "+back), tall, bare), Want: []string{"PASS tall,board", "PASS drive,board"}},
		{Name: "three drives, two sockets and one for a radio", Build: build(m2Board(front+", "+radio+", "+back), "{id: drive, count: 3, part: {drive: {form_factor: m2, m2_size: '2280', m2_key: M, bus: pcie, height_mm: 2.3}}}"),
			Want: []string{"FAIL drive,board"}},
		{Name: "a socket that dies beside the card", Build: build("{id: board, part: {board: {card_slots: [{id: s1, width_lanes: 16, lanes: 16, generation: 4}], m2_slots: [{id: m1, key: M, sizes: ['2280'], lanes: 4, height_mm: 9, shares_with: [s1], lanes_shared: 0}]}}}",
			"{id: card, part: {card: {width_lanes: 16, generation: 4}}}", bare), Want: []string{"FAIL drive,board"}},
		{Name: "and lives without it", Build: build("{id: board, part: {board: {card_slots: [{id: s1, width_lanes: 16}], m2_slots: [{id: m1, key: M, sizes: ['2280'], lanes: 4, height_mm: 9, shares_with: [s1], lanes_shared: 0}]}}}",
			bare), Want: []string{"PASS drive,board"}},
		{Name: "key, size, bus and height not stated by the drive", Build: build(m2Board(back), "{id: drive, part: {drive: {form_factor: m2}}}"),
			Want: []string{"UNKNOWN drive,board missing items[1].part.drive.m2_key items[1].part.drive.m2_size items[1].part.drive.height_mm items[1].part.drive.bus"}},
		{Name: "key, sizes and height not stated by the board", Build: build(m2Board("{id: x}"), bare),
			Want: []string{"UNKNOWN drive,board missing items[0].part.board.m2_slots[0].key items[0].part.board.m2_slots[0].sizes items[0].part.board.m2_slots[0].height_mm"}},
		{Name: "no sockets described", Build: build("{id: board, part: {board: {}}}", bare), Want: []string{"UNKNOWN drive,board missing items[0].part.board.m2_slots"}},
		{Name: "form factor not stated", Build: build(m2Board(front), "{id: drive, part: {drive: {bus: pcie}}}"), Want: []string{"UNKNOWN drive,board missing items[1].part.drive.form_factor"}},
		{Name: "PCI Express by cable", Build: build(m2Board(front), "{id: drive, part: {drive: {form_factor: 2.5-inch, bus: pcie}}}"), Want: []string{"UNKNOWN drive,board missing items[0].part.board.headers"}},
		{Name: "no board", Build: build(bare), Want: []string{"UNKNOWN drive missing items"}},
		{Name: "a drive on a SATA cable needs none", Build: build(m2Board(front), "{id: drive, part: {drive: {form_factor: 3.5-inch, bus: sata}}}")},
	})
}
