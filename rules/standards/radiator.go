package standards

import (
	"fmt"
	"slices"
)

var (
	srcRadiatorName  = register("radiator-name", "radiator sizes named by their fans", "", CommonPractice)
	srcRadiatorSolid = register("radiator-outline", "radiator outlines as sold", "", Memory)
	srcRadiatorTube  = register("radiator-tube", "soft tube at radiators", "", Memory)
	srcRadiatorHoles = register("radiator-holes", "radiator holes with fans abutting", "fan hole pitch along the row", CommonPractice)
)

// RadiatorSize is a nominal radiator: a row of equal fans.
type RadiatorSize struct {
	// NominalMM is the trade's size; FanMM and Fans the row that it names.
	NominalMM, FanMM, Fans int
	// Source is that of the row.
	Source Source
}

// The trade's name is fan size times count. Where two readings exist (240 could
// be three 80 mm fans, 360 two of 180 mm) the trade means 120 mm fans.
var radiatorSizes = []RadiatorSize{
	{80, 80, 1, srcRadiatorName},
	{92, 92, 1, srcRadiatorName},
	{120, 120, 1, srcRadiatorName},
	{140, 140, 1, srcRadiatorName},
	{160, 80, 2, srcRadiatorName},
	{180, 180, 1, srcRadiatorName},
	{184, 92, 2, srcRadiatorName},
	{200, 200, 1, srcRadiatorName},
	{240, 120, 2, srcRadiatorName},
	{280, 140, 2, srcRadiatorName},
	{360, 120, 3, srcRadiatorName},
	{400, 200, 2, srcRadiatorName},
	{420, 140, 3, srcRadiatorName},
	{480, 120, 4, srcRadiatorName},
	{560, 140, 4, srcRadiatorName},
}

// RadiatorSizes returns the nominal radiators, ascending.
func RadiatorSizes() []RadiatorSize { return slices.Clone(radiatorSizes) }

// RadiatorFans returns the fan size in mm and the number of fans that a nominal
// radiator names; an error names the nearest sizes.
func RadiatorFans(nominalMM int) (sizeMM, count int, err error) {
	nominal := make([]int, len(radiatorSizes))
	for i, r := range radiatorSizes {
		if r.NominalMM == nominalMM {
			return r.FanMM, r.Fans, nil
		}
		nominal[i] = r.NominalMM
	}
	return 0, 0, fmt.Errorf("a radiator size of %d mm is not in the tables; nearest: %v mm; give one of them, or the radiator's own fans",
		nominalMM, nearestNumbers(nominalMM, nominal))
}

// RadiatorHoles returns the screw holes of a nominal radiator, x along the row
// of fans from the first hole and y across it, ordered by x, then y. spacingMM
// is the space between neighbouring fan frames: 0 where they abut.
func RadiatorHoles(nominalMM int, spacingMM float64) ([]Point, error) {
	size, count, err := RadiatorFans(nominalMM)
	if err != nil {
		return nil, err
	}
	if err := inRange("the space between fans", spacingMM, 0, 100, "mm"); err != nil {
		return nil, err
	}
	fan, err := FanSizeByNominal(size)
	if err != nil {
		return nil, fmt.Errorf("the holes of a radiator of %d mm are not known: %w", nominalMM, err)
	}
	holes := make([]Point, 0, 4*count)
	for i := range count {
		start := float64(i) * (float64(size) + spacingMM)
		for _, x := range []float64{start, start + fan.PitchMM} {
			holes = append(holes, Point{x, 0}, Point{x, fan.PitchMM})
		}
	}
	return holes, nil
}

// RadiatorHolesSource is the source of [RadiatorHoles].
func RadiatorHolesSource() Source { return srcRadiatorHoles }

// RadiatorOutline bounds the outline of radiators of one fan family.
type RadiatorOutline struct {
	// FanMM is the fan size of the family.
	FanMM int
	// LengthAddLowMM and LengthAddHighMM are what tanks add to the fan row.
	LengthAddLowMM, LengthAddHighMM float64
	// WidthLowMM and WidthHighMM bound the width.
	WidthLowMM, WidthHighMM float64
	// Source is that of the row.
	Source Source
}

var radiatorOutlines = []RadiatorOutline{
	{120, 25, 45, 119, 124, srcRadiatorSolid},
	{140, 25, 45, 138, 144, srcRadiatorSolid},
}

// RadiatorOutlines returns the outlines by fan family.
func RadiatorOutlines() []RadiatorOutline { return slices.Clone(radiatorOutlines) }

// Figures of radiators.
var (
	// RadiatorSlimLow to RadiatorThick are the thickness classes: slim from low
	// to high, middle from low to high, thick from RadiatorThick.
	RadiatorSlimLow    = figure("slim radiator thickness, least", 27, "mm", srcRadiatorSolid)
	RadiatorSlimHigh   = figure("slim radiator thickness, most", 30, "mm", srcRadiatorSolid)
	RadiatorMiddleLow  = figure("middle radiator thickness, least", 38, "mm", srcRadiatorSolid)
	RadiatorMiddleHigh = figure("middle radiator thickness, most", 45, "mm", srcRadiatorSolid)
	RadiatorThick      = figure("thick radiator thickness, least", 60, "mm", srcRadiatorSolid)
	// RadiatorFittingClearance is the space for soft tube at the fittings.
	RadiatorFittingClearance = figure("space at radiator fittings", 40, "mm", srcRadiatorTube)
	// TubeBendFactor and TubeBendComfortable are bend radii of soft tube as
	// multiples of its outer diameter.
	TubeBendFactor      = figure("soft tube bend radius, multiple of diameter", 2, "", srcRadiatorTube)
	TubeBendComfortable = figure("soft tube bend radius, comfortable multiple of diameter", 4, "", srcRadiatorTube)
)
