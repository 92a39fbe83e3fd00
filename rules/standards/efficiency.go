package standards

import "slices"

var (
	srcMark115 = drawings("80plus-115v", "80 PLUS programme", "115 V internal, two copies of its table", 2)
	srcMark230 = drawings("80plus-230v-eu", "80 PLUS programme", "230 V EU internal, one copy of its table", 1)
	srcMarkPF  = register("80plus-power-factor", "80 PLUS programme", "power factor of the basic level", Published)
	srcMarkRed = drawings("80plus-230v-redundant", "80 PLUS programme", "230 V internal redundant, one copy of its table", 1)
)

// Columns of the efficiency programme.
const (
	Column115V          = "115v-internal"
	Column230V          = "230v-eu-internal"
	Column230VRedundant = "230v-redundant"
)

// EfficiencyPoint is the least efficiency at one load, both as shares of 1.
type EfficiencyPoint struct{ LoadShare, Efficiency float64 }

// EfficiencyMark is one level of the 80 PLUS programme at one mains column.
type EfficiencyMark struct {
	// Mark is "basic", "bronze", "silver", "gold", "platinum" or "titanium".
	Mark string
	// Column is one of the columns above.
	Column string
	// Points are the tested loads, ascending.
	Points []EfficiencyPoint
	// Source is that of the row.
	Source Source
}

// loads20 are the tests at 20, 50 and 100 percent of rated load.
func loads20(at20, at50, at100 float64) []EfficiencyPoint {
	return []EfficiencyPoint{{0.2, at20}, {0.5, at50}, {1, at100}}
}

// loads10 adds the test at 10 percent, which Titanium alone has.
func loads10(at10, at20, at50, at100 float64) []EfficiencyPoint {
	return slices.Concat([]EfficiencyPoint{{0.1, at10}}, loads20(at20, at50, at100))
}

var efficiencyMarks = []EfficiencyMark{
	{"basic", Column115V, loads20(0.80, 0.80, 0.80), srcMark115},
	{"bronze", Column115V, loads20(0.82, 0.85, 0.82), srcMark115},
	{"silver", Column115V, loads20(0.85, 0.88, 0.85), srcMark115},
	{"gold", Column115V, loads20(0.87, 0.90, 0.87), srcMark115},
	{"platinum", Column115V, loads20(0.90, 0.92, 0.89), srcMark115},
	{"titanium", Column115V, loads10(0.90, 0.92, 0.94, 0.90), srcMark115},
	{"basic", Column230V, loads20(0.82, 0.85, 0.82), srcMark230},
	{"bronze", Column230V, loads20(0.85, 0.88, 0.85), srcMark230},
	{"silver", Column230V, loads20(0.87, 0.90, 0.87), srcMark230},
	{"gold", Column230V, loads20(0.90, 0.92, 0.89), srcMark230},
	{"platinum", Column230V, loads20(0.92, 0.94, 0.90), srcMark230},
	{"titanium", Column230V, loads10(0.90, 0.94, 0.96, 0.94), srcMark230},
	{"titanium", Column230VRedundant, loads10(0.90, 0.94, 0.96, 0.91), srcMarkRed},
}

// EfficiencyMarks returns the programme's tables.
func EfficiencyMarks() []EfficiencyMark {
	out := slices.Clone(efficiencyMarks)
	for i := range out {
		out[i].Points = slices.Clone(out[i].Points)
	}
	return out
}

// MarkPowerFactor is the least power factor at full load.
var MarkPowerFactor = figure("80 PLUS power factor at full load", 0.9, "", srcMarkPF)

// MarkEfficiency is a least efficiency read from a mark.
type MarkEfficiency struct {
	// Share is the efficiency, above 0 and below 1.
	Share float64
	// Clamped is true outside the tested loads, where Share is that of the
	// nearest tested load. Below it a real supply does worse than Share.
	Clamped bool
	// Source is that of the mark's row.
	Source Source
}

// EfficiencyAt returns the least efficiency that a mark promises on a mains of
// so many volts at a share of rated load (0 to 2): piecewise linear between the
// tested loads, and clamped to the first or last tested load outside them.
// Mains from 90 to 135 V reads the 115 V column, from 180 to 265 V the 230 V EU
// internal column.
func EfficiencyAt(mark string, mainsV, loadShare float64) (MarkEfficiency, error) {
	if !Known(VocabEfficiency, mark) {
		return MarkEfficiency{}, unknown(VocabEfficiency, mark)
	}
	if err := inRange("the load share", loadShare, 0, 2, ""); err != nil {
		return MarkEfficiency{}, err
	}
	mains, err := ACRangeFor(mainsV)
	if err != nil {
		return MarkEfficiency{}, err
	}
	column := Column115V
	if mains.LowV > 135 {
		column = Column230V
	}
	i := slices.IndexFunc(efficiencyMarks, func(m EfficiencyMark) bool { return m.Mark == mark && m.Column == column })
	return efficiencyMarks[i].at(loadShare), nil
}

func (m EfficiencyMark) at(load float64) MarkEfficiency {
	first, last := m.Points[0], m.Points[len(m.Points)-1]
	switch {
	case load < first.LoadShare:
		return MarkEfficiency{first.Efficiency, true, m.Source}
	case load > last.LoadShare:
		return MarkEfficiency{last.Efficiency, true, m.Source}
	}
	i := 1
	for load > m.Points[i].LoadShare {
		i++
	}
	a, b := m.Points[i-1], m.Points[i]
	t := (load - a.LoadShare) / (b.LoadShare - a.LoadShare)
	return MarkEfficiency{(1-t)*a.Efficiency + t*b.Efficiency, false, m.Source}
}
