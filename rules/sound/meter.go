package sound

import (
	"fmt"

	"slipfit.example/rules/air"
)

// Position is a place where a noise is judged.
type Position struct {
	Name      string
	DistanceM float64 // from the machine's reference box
	HeightM   float64 // above the floor
}

// Positions of ISO 7779 and ECMA-74 (from memory).
var (
	Operator  = Position{Name: "operator, seated", DistanceM: 0.5, HeightM: 1.2}
	Bystander = Position{Name: "bystander", DistanceM: 1.0, HeightM: 1.5}
)

// Reading is what a level meter shows: the machine's own level at the meter on
// top of the room's floor, both in dB of the same weighting.
func Reading(machineDB, floorDB float64) (float64, error) {
	l, err := Sum(machineDB, floorDB)
	if err != nil {
		return 0, fmt.Errorf("no reading without a machine and a floor: %w", err)
	}
	return l, nil
}

// Alone is what the machine makes by itself at the meter, from a reading, the
// floor without the machine, and the uncertainty of each of the two readings
// (0 to 5 dB; a good meter, read twice, is within 0.5). The nominal value is
// the difference itself; the ends take both readings at their ends. When the
// reading's low end does not clear the floor's high end, nothing bounds the
// machine from below: Low is then the floor minus 10 dB, below which a machine
// would add less than half a decibel, and upperBound is set.
//
// Trade example (common practice, no source): over a floor of 34 dB a reading
// just above 40 dB is a machine of 38.7 to 39 dB. A side fan that lifts it to
// 42 or 43 dB makes 38 to 40 dB by itself.
func Alone(readingDB, floorDB, uncertaintyDB float64) (machine air.Range, upperBound bool, err error) {
	if err := checkNone([]float64{readingDB, floorDB}); err != nil {
		return air.Range{}, false, err
	}
	if err := air.CheckRange("uncertainty of the readings", uncertaintyDB, 0, 5, "dB"); err != nil {
		return air.Range{}, false, err
	}
	high, err := Difference(readingDB+uncertaintyDB, floorDB-uncertaintyDB)
	if err != nil {
		return air.Range{}, false, fmt.Errorf("the machine cannot be told from the room: %w", err)
	}
	silent := min(floorDB-10, high)
	machine = air.Range{Low: silent, Nominal: silent, High: high}
	if l, err := Difference(readingDB, floorDB); err == nil {
		machine.Nominal = max(l, silent)
	}
	if l, err := Difference(readingDB-uncertaintyDB, floorDB+uncertaintyDB); err == nil {
		machine.Low = max(l, silent)
	} else {
		upperBound = true
	}
	return machine, upperBound, nil
}
