package heat

import "fmt"

// Material is what a surface that people touch is made of.
type Material int

// Materials of the touch limits.
const (
	Metal Material = iota
	GlassOrCeramic
	PlasticOrRubber
)

// Contact is how long a surface is touched in normal use.
type Contact int

// Classes of contact of IEC 62368-1.
const (
	Held     Contact = iota // worn or held for more than a minute
	Handled                 // held for 10 seconds to a minute: handles
	Touched                 // touched for 1 to 10 seconds: knobs, lids
	Unlikely                // touched for less than a second, or only by chance
)

// touchLimits is IEC 62368-1, table 38 (TS1), by contact and material. The
// plastic value for 1 to 10 seconds was confirmed in a discussion of the IEEE
// safety society; the others are from memory.
var touchLimits = [4][3]float64{
	Held:     {48, 48, 48},
	Handled:  {51, 56, 60},
	Touched:  {60, 71, 77},
	Unlikely: {70, 85, 94},
}

// TouchLimitC is the greatest temperature of an accessible surface in degC by
// IEC 62368-1, table 38, class TS1. It is measured in a room of 25 degC and is
// not raised or lowered for another room.
//
// A surface below the limit can still hurt a small child or somebody who
// cannot withdraw the hand. Local law and the standard in force decide.
func TouchLimitC(m Material, c Contact) (float64, error) {
	if m < Metal || m > PlasticOrRubber || c < Held || c > Unlikely {
		return 0, fmt.Errorf("no touch limit for material %d and contact %d; choose a listed material and contact", int(m), int(c))
	}
	return touchLimits[c][m], nil
}

// TouchMarginK is how far a surface of surfaceC, in a room of roomC, stays
// below its limit in a room of 25 degC: the rise is moved to that room, the
// limit is not. Negative is too hot.
func TouchMarginK(m Material, c Contact, surfaceC, roomC float64) (float64, error) {
	limit, err := TouchLimitC(m, c)
	if err != nil {
		return 0, err
	}
	if _, err := JunctionC(surfaceC, 0); err != nil {
		return 0, fmt.Errorf("the touched surface: %w", err)
	}
	if _, err := JunctionC(roomC, 0); err != nil {
		return 0, fmt.Errorf("the room of the touched surface: %w", err)
	}
	const testRoomC = 25
	return limit - (testRoomC + surfaceC - roomC), nil
}
