package climate

import (
	"testing"

	"pgregory.net/rapid"

	"slipfit.example/rules/heat"
)

// What is kept is what would be worked out, whatever was asked before.
func TestKeptLawsAreTheirs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m lawMemory
		for range rapid.IntRange(1, 40).Draw(t, "sinks") {
			var readings []heat.Reading
			for i := range rapid.IntRange(1, 3).Draw(t, "readings") {
				readings = append(readings, heat.Reading{
					FlowM3S: 0.01 * float64(i+rapid.IntRange(1, 3).Draw(t, "flow")), ResistanceKW: 0.1 * float64(rapid.IntRange(1, 3).Draw(t, "resistance")),
				})
			}
			if got, want := m.through(readings), throughReadings(readings); got != want {
				t.Fatalf("%v: %v, want %v", readings, got, want)
			}
		}
	})
}
