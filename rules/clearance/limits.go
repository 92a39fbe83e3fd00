package clearance

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// maxLayouts is how many layouts the contract lets an enclosure have.
const maxLayouts = 16

// figure is a published limit that is one number.
type figure int

const (
	cardLength figure = iota
	cardHeight
	cardThickness
	coolerHeight
	supplyLength
	memoryHeight
	cardSlots
	boardForms
	supplyForms
	radiatorList
	fanList
	driveList
	plugsIncluded
	figures // how many there are
)

var figureNames = [figures]string{
	"card_length_mm", "card_height_mm", "card_thickness_mm", "cooler_height_mm", "supply_length_mm",
	"memory_height_mm", "card_slots", "board_form_factors", "supply_form_factors", "radiators", "fans", "drives",
	"supply_length_includes_plugs",
}

// limitPaths are the paths of all limits from the enclosure's part: of the
// enclosure at 0, of layout k at k+1. They are made once, since findings cite
// them all the time.
var limitPaths = func() (paths [maxLayouts + 1][figures]string) {
	for owner := range paths {
		for f, name := range figureNames {
			paths[owner][f] = limitsPath(owner) + name
		}
	}
	return paths
}()

func limitsPath(owner int) string {
	if owner == 0 {
		return "chassis.limits."
	}
	return layoutPath(owner-1) + "limits."
}

func layoutPath(layout int) string { return "chassis.layouts[" + strconv.Itoa(layout) + "]." }

// limits are the published figures that hold in one layout: its own go before
// the enclosure's, figure by figure and list by list.
type limits struct {
	c       *kit.Case
	chassis *kit.Item
	index   int        // of the layout in the document
	layout  *v1.Layout // nil where the enclosure has only one way
	own     *v1.ChassisLimits
	common  *v1.ChassisLimits
}

var noLimits = new(v1.ChassisLimits)

func (l *limits) open(c *kit.Case, chassis *kit.Item, index int) {
	*l = limits{c: c, chassis: chassis, index: index, own: noLimits, common: noLimits}
	document := chassis.Part.GetChassis()
	if document.Limits != nil {
		l.common = document.Limits
	}
	if index >= 0 && index < len(document.Layouts) {
		l.layout = document.Layouts[index]
		if l.layout.Limits != nil {
			l.own = l.layout.Limits
		}
	}
}

// path is where a limit stands, given whether the layout has it itself.
func (l *limits) path(f figure, own bool) string {
	switch {
	case !own:
		return limitPaths[0][f]
	case l.index < maxLayouts:
		return limitPaths[l.index+1][f]
	default:
		return limitsPath(l.index+1) + figureNames[f]
	}
}

// absent is the value of a limit that nobody states.
func (l *limits) absent(f figure, unit string) kit.Value {
	return l.c.Absent(l.chassis.At(limitPaths[0][f]), unit)
}

// length returns a limit in mm, missing where neither layout nor enclosure
// states it.
func (l *limits) length(f figure) kit.Value {
	if v := f.millimetres(l.own); v != nil {
		return l.c.Length(l.chassis, l.path(f, true), v)
	}
	return l.c.Length(l.chassis, l.path(f, false), f.millimetres(l.common))
}

// states reports whether layout or enclosure states a limit in mm.
func (l *limits) states(f figure) bool {
	return f.millimetres(l.own) != nil || f.millimetres(l.common) != nil
}

func (f figure) millimetres(of *v1.ChassisLimits) *float64 {
	switch f {
	case cardLength:
		return of.CardLengthMm
	case cardHeight:
		return of.CardHeightMm
	case cardThickness:
		return of.CardThicknessMm
	case coolerHeight:
		return of.CoolerHeightMm
	case supplyLength:
		return of.SupplyLengthMm
	default:
		return of.MemoryHeightMm
	}
}

// slots returns how many openings for card brackets there are.
func (l *limits) slots() kit.Value {
	own := l.own.CardSlots != nil
	n := l.own.CardSlots
	if !own {
		n = l.common.CardSlots
	}
	return count(l.c, l.chassis, l.path(cardSlots, own), n)
}

// plugsTakenOut reports whether the limit on the supply's length leaves room for
// plugs already. Both layout and enclosure may say so.
func (l *limits) plugsTakenOut() bool {
	if l.own.SupplyLengthIncludesPlugs != nil {
		return *l.own.SupplyLengthIncludesPlugs
	}
	return l.common.GetSupplyLengthIncludesPlugs()
}

// forms returns the form factors that are listed, with the list as a value. A
// layout's mounts speak where both limits are silent.
func (l *limits) forms(f figure) ([]string, kit.Value) {
	list, path := f.words(l.own), l.path(f, true)
	if len(list) == 0 {
		list, path = f.words(l.common), l.path(f, false)
	}
	if len(list) == 0 {
		if i := l.mountWithForms(f.mountKind()); i >= 0 {
			list = l.layout.Mounts[i].FormFactors
			path = layoutPath(l.index) + "mounts[" + strconv.Itoa(i) + "].form_factors"
		}
	}
	return list, l.c.Words(l.chassis, path, list)
}

func (f figure) words(of *v1.ChassisLimits) []string {
	if f == boardForms {
		return of.BoardFormFactors
	}
	return of.SupplyFormFactors
}

func (f figure) mountKind() v1.MountKind {
	if f == boardForms {
		return v1.MountKind_MOUNT_KIND_BOARD
	}
	return v1.MountKind_MOUNT_KIND_SUPPLY
}

func (l *limits) mountWithForms(kind v1.MountKind) int {
	for i, m := range l.layout.GetMounts() {
		if m.GetKind() == kind && len(m.FormFactors) > 0 {
			return i
		}
	}
	return -1
}

// mountFor returns the layout's first mount of a kind that names the form
// factor, or that names none at all; nil where there is no such mount.
func (l *limits) mountFor(kind v1.MountKind, form string) *v1.Mount {
	for _, m := range l.layout.GetMounts() {
		if m.GetKind() == kind && contains(m.FormFactors, form) {
			return m
		}
	}
	for _, m := range l.layout.GetMounts() {
		if m.GetKind() == kind && len(m.FormFactors) == 0 {
			return m
		}
	}
	return nil
}

// count reads a number of pieces, which is never off.
func count(c *kit.Case, it *kit.Item, field string, n *uint32) kit.Value {
	if n == nil {
		return c.Absent(it.At(field), "")
	}
	v := float64(*n)
	return c.Figure(it, field, &v, "", 0)
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// mountPath is where a mount of the layout stands, with the dot.
func (l *limits) mountPath(mount *v1.Mount) string {
	for i, m := range l.layout.GetMounts() {
		if m == mount {
			return layoutPath(l.index) + "mounts[" + strconv.Itoa(i) + "]."
		}
	}
	return layoutPath(l.index) + "mounts."
}
