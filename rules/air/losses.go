package air

import (
	"fmt"
	"math"
)

// The loss coefficients of this file are velocity heads on the area of
// approach (the whole face of a grille), unless a comment says otherwise.
// Where handbooks disagree, the disagreement is the range.

// leastOpenRatio is the smallest open ratio that the formulas take; a plate
// with fewer holes counts as closed.
const leastOpenRatio = 0.02

func checkOpenRatio(f float64) error {
	return CheckRange("open ratio of a grille", f, leastOpenRatio, 1, "")
}

// PerforatedPlateOlderK is a thin perforated plate or sharp orifice of open
// ratio f (0.02 to 1): (1 + 0.707 sqrt(1-f) - f)^2/f^2, the older of the two
// formulas of Idelchik's handbook.
func PerforatedPlateOlderK(f float64) (float64, error) {
	if err := checkOpenRatio(f); err != nil {
		return 0, err
	}
	n := 1 + 0.707*math.Sqrt(1-f) - f
	return n * n / (f * f), nil
}

// PerforatedPlateK is a thin perforated plate or sharp orifice of open ratio f
// (0.02 to 1): (0.707 (1-f)^0.375 + 1 - f)^2/f^2, Idelchik 1994, diagram 4-14,
// for Reynolds numbers above 1e5; it lies 6 to 19 percent above the older one.
func PerforatedPlateK(f float64) (float64, error) {
	if err := checkOpenRatio(f); err != nil {
		return 0, err
	}
	n := 0.707*math.Pow(1-f, 0.375) + 1 - f
	return n * n / (f * f), nil
}

// ThickPlateK is a plate of open ratio f (0.02 to 1) whose thickness is
// thicknessPerHole hole diameters (0.015 to 3): Idelchik 2006, diagram 4-15,
// with friction 0.02, for Reynolds numbers above 1000. Its thickness factor is
// from memory.
func ThickPlateK(f, thicknessPerHole float64) (float64, error) {
	if err := checkOpenRatio(f); err != nil {
		return 0, err
	}
	if err := CheckRange("thickness of a grille in hole diameters", thicknessPerHole, 0.015, 3, ""); err != nil {
		return 0, err
	}
	const friction = 0.02
	l8 := math.Pow(thicknessPerHole, 8)
	tau := (2.4 - thicknessPerHole) * math.Pow(10, -(0.25+0.535*l8/(0.05+l8)))
	if thicknessPerHole > 2.4 {
		tau = 0 // the flow has long filled the hole again
	}
	g := 1 - f
	return (0.5*math.Pow(g, 0.75) + tau*math.Pow(g, 1.375) + g*g + friction*thicknessPerHole) / (f * f), nil
}

// blevinsPlate is the table of square-edged plates and screens in Blevins,
// Applied Fluid Dynamics Handbook, 1984: open ratio and loss coefficient.
var blevinsPlate = [][2]float64{
	{.05, 1000}, {.1, 250}, {.15, 85}, {.2, 52}, {.25, 30}, {.3, 17}, {.35, 11}, {.4, 7.7}, {.45, 5.5},
	{.5, 3.8}, {.55, 2.8}, {.6, 2.0}, {.65, 1.5}, {.7, 1.1}, {.75, .78}, {.8, .53}, {.85, .35}, {.9, .08},
}

// blevinsRounded is the same handbook's table of grilles with rounded edges.
var blevinsRounded = [][2]float64{{.3, 2.0}, {.4, 1.0}, {.5, .6}, {.6, .4}, {.7, .2}}

// PlateTableK is a square-edged plate of open ratio f (0.05 to 0.85) by the
// table of Blevins 1984. Its last entry, 0.08 at 0.9, lies far below both
// formulas and is left out.
func PlateTableK(f float64) (float64, error) {
	return logTable("open ratio of a plate in the table", blevinsPlate[:len(blevinsPlate)-1], f)
}

// RoundedGrilleK is a grille with rounded edges of open ratio f (0.3 to 0.7)
// by the table of Blevins 1984.
func RoundedGrilleK(f float64) (float64, error) {
	return logTable("open ratio of a rounded grille", blevinsRounded, f)
}

// logTable interpolates a falling table on the logarithm of its values.
func logTable(what string, table [][2]float64, x float64) (float64, error) {
	if err := CheckRange(what, x, table[0][0], table[len(table)-1][0], ""); err != nil {
		return 0, err
	}
	for i := 1; i < len(table); i++ {
		if x <= table[i][0] {
			a, b := table[i-1], table[i]
			w := (x - a[0]) / (b[0] - a[0])
			return math.Exp((1-w)*math.Log(a[1]) + w*math.Log(b[1])), nil
		}
	}
	return table[len(table)-1][1], nil
}

// SquareGrilleK is a thick grille with square edges of open ratio f (0.02 to
// 1): (0.5 (1-f) + 1 - f^2)/f^2, Blevins 1984.
func SquareGrilleK(f float64) (float64, error) {
	if err := checkOpenRatio(f); err != nil {
		return 0, err
	}
	return (0.5*(1-f) + 1 - f*f) / (f * f), nil
}

// GrilleK is the range of a grille or punched panel of open ratio f (0.05 to
// 0.85) whose edges nobody described: the spread of the three formulas and the
// table for square edges, with their middle as nominal.
func GrilleK(f float64) (Range, error) {
	if err := CheckRange("open ratio of a grille", f, 0.05, 0.85, ""); err != nil {
		return Range{}, err
	}
	low, high := math.Inf(1), 0.0
	for _, formula := range []func(float64) (float64, error){
		PerforatedPlateOlderK, PerforatedPlateK, PlateTableK, SquareGrilleK,
	} {
		k, err := formula(f)
		if err != nil {
			return Range{}, err
		}
		low, high = min(low, k), max(high, k)
	}
	return Range{low, math.Sqrt(low * high), high}, nil
}

// wireFactor is b of the round-wire screen by the Reynolds number in the gap,
// Blevins 1984.
var wireFactor = [][2]float64{
	{20, 1.3}, {30, 1.1}, {40, .95}, {60, .83}, {80, .75}, {100, .70}, {200, .60}, {400, .52},
}

// WireScreenK is a screen of round wire of open ratio f (0.02 to 1) at a
// Reynolds number of the gap flow, tilted by angleDeg (0 to 75 degrees) from
// square to the flow: b (1-f^2)/f^2 cos^2(angle), Blevins 1984. The table of b
// runs from 20 to 400; beyond it the nearest entry is taken.
func WireScreenK(f, gapReynolds, angleDeg float64) (float64, error) {
	if err := checkOpenRatio(f); err != nil {
		return 0, err
	}
	if err := CheckRange("Reynolds number in the gaps of a screen", gapReynolds, 1, 1e6, ""); err != nil {
		return 0, err
	}
	if err := CheckRange("tilt of a screen", angleDeg, 0, 75, "degrees"); err != nil {
		return 0, err
	}
	re := min(max(gapReynolds, wireFactor[0][0]), wireFactor[len(wireFactor)-1][0])
	b, err := logTable("Reynolds number in the gaps of a screen", wireFactor, re)
	if err != nil {
		return 0, err
	}
	cos := math.Cos(angleDeg * math.Pi / 180)
	return b * (1 - f*f) / (f * f) * cos * cos, nil
}

// WireMeshK is the range of a clean wire mesh of open ratio f (0.02 to 1):
// nominal 1.3 (1-f) + (1/f - 1)^2 (Idelchik; from memory). Handbooks and a
// measurement differ by more than a factor of two on the same mesh, hence half
// and 2.5 times as its ends.
func WireMeshK(f float64) (Range, error) {
	if err := checkOpenRatio(f); err != nil {
		return Range{}, err
	}
	k := 1.3*(1-f) + (1/f-1)*(1/f-1)
	return Range{k / 2, k, 2.5 * k}, nil
}

// OrificeK is a sharp-edged hole between two rooms, on the area of the hole,
// as a range over the discharge coefficients 0.60 to 0.65 (nominal 0.62).
func OrificeK() Range {
	return Range{1 / (0.65 * 0.65), 1 / (0.62 * 0.62), 1 / (0.60 * 0.60)}
}

// SharpInletK is the loss of a sharp inlet from a room into a duct, on the
// duct: 0.50 in most handbooks, up to 0.57.
func SharpInletK() Range { return Range{0.50, 0.50, 0.57} }

// RoomExitK is the loss of a duct that ends in a room: its velocity head.
const RoomExitK = 1.0

// LouvreK is the range of a louvre on its face, with aerodynamic free area
// ratio (0.05 to 0.9) where it was tested, 1/(Cd A/A)^2. A louvre without a
// test is poor: a tested example reached only 24 percent of its face, K = 14.2
// on its core. The ends are a fifth below and above.
func LouvreK(aerodynamicFreeRatio float64) (Range, error) {
	if err := CheckRange("aerodynamic free area ratio of a louvre", aerodynamicFreeRatio, 0.05, 0.9, ""); err != nil {
		return Range{}, err
	}
	k := 1 / (aerodynamicFreeRatio * aerodynamicFreeRatio)
	return Range{k / 1.2, k, k * 1.2}, nil
}

// ExpansionK is a sudden widening from an area to a greater one, on the
// smaller: (1 - ratio)^2 with the ratio small over large, 0 to 1 (Borda and
// Carnot; Idelchik 2006, diagram 4-1).
func ExpansionK(areaRatio float64) (float64, error) {
	if err := CheckRange("ratio of the smaller to the larger area", areaRatio, 0, 1, ""); err != nil {
		return 0, err
	}
	return (1 - areaRatio) * (1 - areaRatio), nil
}

// ContractionK is a sudden narrowing, on the smaller area: 0.5 (1 -
// ratio)^0.75 with the ratio small over large, 0 to 1 (Idelchik 2006, diagram
// 4-9).
func ContractionK(areaRatio float64) (float64, error) {
	if err := CheckRange("ratio of the smaller to the larger area", areaRatio, 0, 1, ""); err != nil {
		return 0, err
	}
	return 0.5 * math.Pow(1-areaRatio, 0.75), nil
}

// Elbow is the make of a right-angled bend.
type Elbow int

// The bends that ElbowK knows.
const (
	SmoothRound       Elbow = iota // round, curved; shape is centre-line radius over diameter
	MitredRectangular              // rectangular, sharp; shape is height over width
	MitredRound                    // round, sharp; shape is ignored
)

// smoothElbow and mitredElbow are the SMACNA duct design tables of
// right-angled bends: shape and loss coefficient.
var (
	smoothElbow = [][2]float64{{.5, .71}, {.75, .33}, {1, .22}, {1.5, .15}, {2, .13}, {2.5, .12}}
	mitredElbow = [][2]float64{{.25, 1.3}, {.5, 1.3}, {.75, 1.2}, {1, 1.2}, {1.5, 1.1}, {2, 1.1}, {4, .92}, {6, .85}, {8, .83}}
)

// ElbowK is the range of a right-angled bend. Nominal values are the SMACNA
// tables; the ends cover what other tables print for the same bend. Shape is
// 0.5 to 2.5 for a smooth round bend and 0.25 to 8 for a mitred rectangular
// one.
func ElbowK(kind Elbow, shape float64) (Range, error) {
	switch kind {
	case SmoothRound:
		k, err := logTable("radius over diameter of a bend", smoothElbow, shape)
		return Range{k, k, 1.2 * k}, err
	case MitredRectangular:
		k, err := logTable("height over width of a bend", mitredElbow, shape)
		return Range{0.9 * k, k, 1.15 * k}, err
	case MitredRound:
		return Range{0.87, 1.2, 1.2 * 1.4}, nil
	}
	return Range{}, fmt.Errorf("bend of unknown make %d; choose smooth round, mitred rectangular or mitred round", int(kind))
}

// Filter is the kind of dust filter in front of an opening.
type Filter int

// The filters that FilterK knows.
const (
	WideMesh  Filter = iota // punched or woven plastic mesh, holes above 1 mm
	FineMesh                // nylon or steel gauze, holes below 1 mm
	OpenFoam                // reticulated foam, 10 to 30 pores an inch
	FleeceMat               // fleece, laid for fine dust
)

// FilterK is the range of a clean dust filter on its face, in velocity heads
// at the 0.5 to 2 m/s of small enclosures. Common practice, no source: no
// measured table for small enclosures was found, so that the ends are a
// factor of four apart. DustedK tells what dust adds.
func FilterK(kind Filter) (Range, error) {
	switch kind {
	case WideMesh:
		return Range{1.5, 3, 6}, nil
	case FineMesh:
		return Range{4, 8, 16}, nil
	case OpenFoam:
		return Range{10, 20, 40}, nil
	case FleeceMat:
		return Range{30, 60, 120}, nil
	}
	return Range{}, fmt.Errorf("filter of unknown kind %d; choose wide mesh, fine mesh, foam or fleece", int(kind))
}

// DustedK is the range of a filter that has been in use: nominal twice the
// clean value, at most four times (common practice, no source).
func DustedK(clean Range) Range {
	return Range{clean.Low, 2 * clean.Nominal, 4 * clean.High}
}

// FilterResistance is a filter stated as a drop in Pa at a face velocity in
// m/s, on a face in m2, with the exponent of its law: 1 (fleece, laminar) to 2
// (mesh). The drop is split so that value and exponent at the stated velocity
// are kept.
func FilterResistance(dropPa, faceVelocityMS, faceAreaM2, exponent float64) (Resistance, error) {
	if err := CheckRange("pressure drop of a filter", dropPa, 1e-3, 1e4, "Pa"); err != nil {
		return Resistance{}, err
	}
	if err := CheckRange("face velocity of a filter", faceVelocityMS, 1e-3, 50, "m/s"); err != nil {
		return Resistance{}, err
	}
	if err := CheckRange("face area of a filter", faceAreaM2, 1e-6, 100, "m2"); err != nil {
		return Resistance{}, err
	}
	if err := CheckRange("exponent of a filter", exponent, 1, 2, ""); err != nil {
		return Resistance{}, err
	}
	q := faceVelocityMS * faceAreaM2
	return Resistance{LinearPaSM3: (2 - exponent) * dropPa / q, QuadraticPaS2M6: (exponent - 1) * dropPa / (q * q)}, nil
}

// FinCoreK is entry and exit of a fin stack, on the area between the fins,
// with the free share of the face sigma (0.05 to 1) and equal densities:
// contraction 0.42 (1 - sigma^2) and expansion (1 - sigma^2)^2 (Culham and
// Muzychka; from memory). They are a tenth to a third of a stack's drop.
func FinCoreK(sigma float64) (float64, error) {
	if err := CheckRange("free share of a fin stack's face", sigma, 0.05, 1, ""); err != nil {
		return 0, err
	}
	g := 1 - sigma*sigma
	return 0.42*g + g*g, nil
}
