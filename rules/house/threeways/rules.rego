# The house rules of ../testdata/twenty-five.yaml. A rule about a kind of part judges
# every item of the kind; "fails" and "wants" tell which items fail and which lack a
# figure, and the verdict is the worst of them.
package house

import rego.v1

# The parts of each kind, as an array: sets of documents would be compared in depth.
by_kind := {kind: [part | part := input.items[_].part[kind]] |
	some kind in {"fan", "card", "supply", "air_cooler", "drive", "memory", "processor", "board", "liquid_loop"}
}

# Figures with a greatest and a least value, by rule: kind, field, limit.
most := {
	"fan-thickness": ["fan", "thickness_mm", 30],
	"card-reach": ["card", "length_mm", 300],
	"card-height": ["card", "height_mm", 140],
	"card-thickness": ["card", "thickness_mm", 60],
	"supply-length": ["supply", "length_mm", 180],
	"cooler-height": ["air_cooler", "height_mm", 155],
	"memory-height": ["memory", "height_mm", 44],
	"processor-heat": ["processor", "rated_heat_w", 125],
}

least := {
	"fan-size": ["fan", "size_mm", 120],
	"supply-power": ["supply", "rated_w", 450],
	"drive-capacity": ["drive", "capacity_gb", 1000],
	"memory-capacity": ["memory", "capacity_gb", 16],
	"processor-cores": ["processor", "cores", 6],
	"board-sata": ["board", "sata_ports", 2],
}

words := {
	"supply-form": ["supply", "form_factor", {"ATX", "SFX", "SFX-L"}],
	"supply-mark": ["supply", "efficiency_mark", {"gold", "platinum", "titanium"}],
}

figures := object.union(object.union(most, least), words)

applies contains rule if {
	some rule, f in figures
	count(by_kind[f[0]]) > 0
}

wants contains rule if {
	some rule, f in figures
	some p in by_kind[f[0]]
	not f[1] in object.keys(p)
}

fails contains rule if {
	some rule, f in most
	some p in by_kind[f[0]]
	p[f[1]] > f[2]
}

fails contains rule if {
	some rule, f in least
	some p in by_kind[f[0]]
	p[f[1]] < f[2]
}

fails contains rule if {
	some rule, f in words
	some p in by_kind[f[0]]
	v := p[f[1]]
	not v in f[2]
}

applies contains "drive-bus" if count(by_kind.drive) > 0

good_drive(d) if d.bus == "nvme"

good_drive(d) if d.form_factor == "2.5in"

wants contains "drive-bus" if {
	some d in by_kind.drive
	not good_drive(d)
	not {"bus", "form_factor"} - object.keys(d) == set()
}

fails contains "drive-bus" if {
	some d in by_kind.drive
	not good_drive(d)
	{"bus", "form_factor"} - object.keys(d) == set()
}

applies contains "board-sockets" if count(by_kind.board) > 0

wants contains "board-sockets" if {
	some b in by_kind.board
	not b.m2_slots
}

# Rules about the build.
build_rules := {"one-supply", "two-copies", "cooled", "few-fans", "thick-fans", "enough-memory"}

applies contains rule if some rule in build_rules

wants contains rule if {
	some rule in build_rules
	not input.items
}

fails contains "one-supply" if {
	input.items
	count(by_kind.supply) != 1
}

two_copies if count(by_kind.drive) > 1

two_copies if {
	some item in input.items
	item.part.drive
	item.count > 1
}

fails contains "two-copies" if {
	input.items
	not two_copies
}

fails contains "cooled" if {
	input.items
	count(by_kind.air_cooler) == 0
	count(by_kind.liquid_loop) == 0
}

fails contains "few-fans" if count(by_kind.fan) > 3

fails contains "thick-fans" if {
	some f in by_kind.fan
	f.thickness_mm < 15
}

wants contains "thick-fans" if {
	some f in by_kind.fan
	not "thickness_mm" in object.keys(f)
}

enough_memory if {
	some m in by_kind.memory
	m.capacity_gb >= 32
}

wants contains "enough-memory" if {
	not enough_memory
	some m in by_kind.memory
	not "capacity_gb" in object.keys(m)
}

fails contains "enough-memory" if {
	input.items
	not enough_memory
	every m in by_kind.memory {
		"capacity_gb" in object.keys(m)
	}
}

applies contains "cool-room" if true

wants contains "cool-room" if {
	input.room
	not "temperature_c" in object.keys(input.room)
}

fails contains "cool-room" if input.room.temperature_c > 30

verdicts[rule] := "fail" if some rule in fails

verdicts[rule] := "unknown" if {
	some rule in wants
	not rule in fails
}

verdicts[rule] := "pass" if {
	some rule in applies
	not rule in fails
	not rule in wants
}
