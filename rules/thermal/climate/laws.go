package climate

import (
	"slices"

	"slipfit.example/rules/heat"
)

// lawMemory keeps the laws of the last sinks: of builds that come one after the other most
// are those of the build before.
type lawMemory struct {
	kept [4]keptLaw
	next int
}

type keptLaw struct {
	readings []heat.Reading
	law      heat.FlowLaw
}

// through is throughReadings.
func (m *lawMemory) through(readings []heat.Reading) heat.FlowLaw {
	for i := range m.kept {
		if k := &m.kept[i]; slices.Equal(k.readings, readings) {
			return k.law
		}
	}
	k := &m.kept[m.next]
	m.next = (m.next + 1) % len(m.kept)
	k.readings, k.law = append(k.readings[:0], readings...), throughReadings(readings)
	return k.law
}
