package sound

import (
	"math"

	"slipfit.example/rules/air"
)

// Surrounding is the solid angle that a source radiates into.
type Surrounding int

// Surroundings by the number of reflecting planes at the source.
const (
	FreeSpace Surrounding = 1 // full sphere
	OnFloor   Surrounding = 2 // half sphere: on a table top or floor
	AtWall    Surrounding = 4 // quarter: on a floor at a wall
	InCorner  Surrounding = 8 // eighth: in a corner
)

func checkPlace(distanceM float64, s Surrounding) error {
	if err := air.CheckRange("distance from the source", distanceM, 0.01, 1e4, "m"); err != nil {
		return err
	}
	return air.CheckRange("directivity of the surrounding", float64(s), 1, 8, "")
}

// PressureLevel is the sound pressure level in dB at a distance in m from a
// small source of power level lwDB without echoes: LW - 10 lg(4 pi r^2/Q).
// Exact constants are 10.99 dB for a sphere and 7.98 dB for a half sphere,
// where handbooks round to 11 and 8.
func PressureLevel(lwDB, distanceM float64, s Surrounding) (float64, error) {
	if err := checkLevel("sound power level", lwDB); err != nil {
		return 0, err
	}
	if err := checkPlace(distanceM, s); err != nil {
		return 0, err
	}
	return lwDB - level(4*math.Pi*distanceM*distanceM/float64(s)), nil
}

// PowerLevel is the sound power level that causes a pressure level at a
// distance: the inverse of PressureLevel.
func PowerLevel(lpDB, distanceM float64, s Surrounding) (float64, error) {
	if err := checkLevel("sound pressure level", lpDB); err != nil {
		return 0, err
	}
	if err := checkPlace(distanceM, s); err != nil {
		return 0, err
	}
	return lpDB + level(4*math.Pi*distanceM*distanceM/float64(s)), nil
}

// AtDistance moves a free-field pressure level from one distance to another:
// 6.02 dB less for each doubling.
func AtDistance(lpDB, fromM, toM float64) (float64, error) {
	lw, err := PowerLevel(lpDB, fromM, FreeSpace)
	if err != nil {
		return 0, err
	}
	return PressureLevel(lw, toM, FreeSpace)
}

// InRoom is the pressure level in dB in a room that echoes: LW + 10 lg(Q/(4 pi
// r^2) + 4/R), with the room constant R in m2 (see RoomConstantM2).
func InRoom(lwDB, distanceM float64, s Surrounding, roomConstantM2 float64) (float64, error) {
	if err := checkLevel("sound power level", lwDB); err != nil {
		return 0, err
	}
	if err := checkPlace(distanceM, s); err != nil {
		return 0, err
	}
	if err := air.CheckRange("room constant", roomConstantM2, 0.1, 1e6, "m2"); err != nil {
		return 0, err
	}
	return lwDB + level(float64(s)/(4*math.Pi*distanceM*distanceM)+4/roomConstantM2), nil
}

// AbsorptionM2 is the equivalent absorption area of a room by its volume in m3
// and reverberation time in s: 0.16 V/T (Sabine).
func AbsorptionM2(volumeM3, reverberationS float64) (float64, error) {
	if err := air.CheckRange("volume of the room", volumeM3, 1, 1e6, "m3"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("reverberation time", reverberationS, 0.05, 30, "s"); err != nil {
		return 0, err
	}
	return 0.16 * volumeM3 / reverberationS, nil
}

// RoomConstantM2 is R = A/(1 - A/S) for an absorption area and the area of all
// walls, both m2; the absorption must stay below the walls.
func RoomConstantM2(absorptionM2, wallsM2 float64) (float64, error) {
	if err := air.CheckRange("area of all walls", wallsM2, 1, 1e6, "m2"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("absorption area", absorptionM2, 1e-3, 0.99*wallsM2, "m2"); err != nil {
		return 0, err
	}
	return absorptionM2 / (1 - absorptionM2/wallsM2), nil
}

// K2 is the room correction 10 lg(1 + 4 S/A) of a measuring surface S in a room
// of absorption area A, both m2 (ISO 3744:2010).
func K2(surfaceM2, absorptionM2 float64) (float64, error) {
	if err := air.CheckRange("measuring surface", surfaceM2, 1e-2, 1e5, "m2"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("absorption area", absorptionM2, 1e-3, 1e6, "m2"); err != nil {
		return 0, err
	}
	return level(1 + 4*surfaceM2/absorptionM2), nil
}

// BoxSurfaceM2 is the measuring box around a machine on a floor, 4(ab + bc +
// ca) with a = l1/2 + d, b = l2/2 + d and c = l3 + d, for length, width and
// height in m and a distance d in m (ISO 3744:2010, equation 9).
func BoxSurfaceM2(lengthM, widthM, heightM, distanceM float64) (float64, error) {
	for _, v := range [4]float64{lengthM, widthM, heightM, distanceM} {
		if err := air.CheckRange("edge or distance of the measuring box", v, 1e-3, 100, "m"); err != nil {
			return 0, err
		}
	}
	a, b, c := lengthM/2+distanceM, widthM/2+distanceM, heightM+distanceM
	return 4 * (a*b + b*c + c*a), nil
}
