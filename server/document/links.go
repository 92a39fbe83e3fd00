package document

import (
	"fmt"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"
)

// The checks across fields, as the walk over encoded bytes needs them. They say
// the same as crossCheck does in words; a test holds one against the other.

// uniqueLists are lists whose elements differ in a field.
var uniqueLists = [][2]string{
	{"CheckRequest.policy", "PolicyValue.parameter"},
	{"CheckRequest.packs", "PackPin.name"},
	{"Build.items", "Item.id"},
	{"Use.loads", "Load.item"},
	{"Use.fans", "FanSetting.item"},
	{"Chassis.layouts", "Layout.id"},
	{"Chassis.compartments", "Compartment.id"},
	{"Chassis.panels", "Panel.id"},
	{"Chassis.obstructions", "Obstruction.id"},
	{"ChassisLimits.radiators", "RadiatorLimit.mount"},
	{"ChassisLimits.fans", "FanLimit.mount"},
	{"ChassisLimits.drives", "DriveLimit.mount"},
	{"Layout.mounts", "Mount.id"},
	{"Layout.obstructions", "Obstruction.id"},
	{"Board.card_slots", "CardSlot.id"},
	{"Board.m2_slots", "M2Slot.id"},
}

// references are fields that name the key of an element of a list.
var references = [][2]string{
	{"Load.item", "Build.items"},
	{"FanSetting.item", "Build.items"},
	{"Placement.item", "Build.items"},
	{"Mount.excludes", "Layout.mounts"},
	{"Mount.panel", "Chassis.panels"},
}

// curveRule is the order of the points of a list: x rises, y by its slope. Where
// points have a third value, x rises among those that share it.
type curveRule struct {
	slope int8
}

// curves are lists of points: the list, its points' x, y and group, and the slope
// of y: 1 does not fall, -1 does not rise, 0 is free.
var curves = []struct {
	list, x, y, group string
	slope             int8
}{
	{"Fan.curve", "PressurePoint.flow_m3h", "PressurePoint.pressure_pa", "", -1},
	{"Radiator.core", "PressurePoint.flow_m3h", "PressurePoint.pressure_pa", "", 1},
	{"Supply.deratings", "DeratingPoint.air_c", "DeratingPoint.share", "", -1},
	{"Supply.efficiencies", "EfficiencyPoint.load_share", "EfficiencyPoint.efficiency", "EfficiencyPoint.mains_v", 0},
}

// captures are fields that a check at the message's end looks at.
var captures = []struct {
	field   string
	capture uint8
}{
	{"Pose.x_points", 1}, {"Pose.z_points", 2}, {"Item.count", 1}, {"Placement.pose", 1}, {"Placement.count", 2},
}

var marks = map[string]mark{
	"Part.chassis":             chassisMark,
	"ArrangementChoice.layout": layoutMark,
	"Placement.mount":          mountMark,
	"Figure.fields":            fieldPathMark,
	"Figure.read_on":           dayMark,
}

var closings = map[string]closing{
	"Pose": closePose, "Item": closeItem, "Part": closePart, "Build": closeBuild,
	"Mount": closeMount, "Layout": closeLayout, "Placement": closePlacement,
	"RadiatorLimit": closePlace, "FanLimit": closePlace, "DriveLimit": closePlace,
}

// linker enters the checks into a table. A name that the contract does not have
// is an error of this file.
type linker struct {
	table *table
	pkg   protoreflect.FullName
	err   error
}

// find gives the shape and the number of "Message.field".
func (l *linker) find(name string) (*shape, protoreflect.FieldNumber) {
	message, field, _ := strings.Cut(name, ".")
	s := l.table.shapes[l.pkg.Append(protoreflect.Name(message))]
	if s == nil || (field != "" && s.byName[field] == 0) {
		l.err = fmt.Errorf("the contract has no %s", name)
		return &shape{steps: make([]step, 1)}, 0
	}
	return s, s.byName[field]
}

func (l *linker) step(name string) *step {
	s, number := l.find(name)
	return &s.steps[number]
}

func (t *table) link(pkg protoreflect.FullName) error {
	l := &linker{table: t, pkg: pkg}
	for _, u := range uniqueLists {
		l.step(u[0]).unique = true
		s, number := l.find(u[1])
		s.key = uint8(number)
	}
	refs := map[string]uint8{}
	for _, r := range references {
		if refs[r[1]] == 0 {
			refs[r[1]] = uint8(len(refs) + 1)
			s, number := l.find(r[1])
			s.scopes = append(s.scopes, scope{ref: refs[r[1]], list: uint8(number)})
		}
		l.step(r[0]).ref = refs[r[1]]
	}
	for _, c := range curves {
		l.step(c.list).curve = &curveRule{slope: c.slope}
		l.step(c.x).capture, l.step(c.y).capture = 1, 2
		if c.group != "" {
			l.step(c.group).capture = 3
		}
	}
	for _, c := range captures {
		l.step(c.field).capture = c.capture
	}
	for name, m := range marks {
		l.step(name).mark = m
	}
	for name, c := range closings {
		s, _ := l.find(name)
		s.closing = c
	}
	t.excludesRef = l.step("Mount.excludes").ref
	t.posesSlot = l.step("Mount.poses").slot
	_, mount := l.find("Placement.mount")
	t.mountBit = bit(mount)
	return l.err
}
