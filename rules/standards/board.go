package standards

import (
	"fmt"
	"math"
	"slices"
)

// Tokens of the board form factors.
const (
	BoardMiniITX  = "mini-itx"
	BoardMicroATX = "micro-atx"
	BoardATX      = "atx"
	BoardMiniDTX  = "mini-dtx"
	BoardFlexATX  = "flex-atx"
	BoardEATX     = "eatx"
	BoardSSICEB   = "ssi-ceb"
	BoardSSIEEB   = "ssi-eeb"
)

var (
	srcMicroATXOutline = register("microatx-1.2-table3", "microATX specification 1.2", "table 3", Published)
	srcMicroATXHoles   = register("microatx-1.2-fig2", "microATX specification 1.2", "figure 2", Published)
	srcMicroATXStray   = register("microatx-1.2-sec2.2", "microATX specification 1.2", "section 2.2", Published)
	srcMicroATXSlots   = register("microatx-1.2-sec2.3.1", "microATX specification 1.2", "section 2.3.1", Published)
	srcMiniITX         = register("mini-itx-1.1-table1", "Mini-ITX addendum 1.1 to the microATX specification", "table 1", Published)
	srcBoardTable      = drawings("board-size-table", "table of board form factors", "outlines", 1)
	srcHoleDrawings    = drawings("atx-hole-drawings", "ATX family board drawings", "mounting holes", 2)
	srcHoleDrawing     = drawings("eatx-hole-drawing", "extended ATX board drawing", "fourth row of holes", 1)
	srcSlotDrawings    = drawings("atx-slot-drawings", "ATX family board drawings", "expansion slots", 2)
	srcHoleMemory      = register("board-holes-memory", "DTX and FlexATX addenda, extended ATX custom", "mounting holes", Memory)
	srcSlotMemory      = register("board-slots-memory", "board form factor specifications", "number of expansion slots", Memory)
)

// Hole is a mounting hole of a board, in the board's frame: component side up,
// x from the edge on the F-J-M side (where the rear connectors are) towards the
// expansion slots, y from the rear edge towards the front.
type Hole struct {
	// Letter is the standard's name of the hole; E1 to E3 are this package's
	// names of the extended ATX row, which no standard letters.
	Letter string
	// At is the hole's centre.
	At Point
	// Optional holes may be left without a standoff.
	Optional bool
	// Source is that of the coordinates.
	Source Source
}

// Board is a board form factor at its largest outline.
type Board struct {
	// Token and Name are the document's token and the standard's spelling.
	Token, Name string
	// WidthMM runs along the rear edge (x), DepthMM from rear to front (y).
	WidthMM, DepthMM float64
	// Holes is empty where no hole set is known; see HolesSource.
	Holes []Hole
	// Slots is the largest number of expansion slots.
	Slots int
	// Source is that of the outline.
	Source Source
	// HolesSource is that of the choice of holes, SlotsSource of the slot count.
	HolesSource, SlotsSource Source
}

// hole returns a mounting hole of the ATX family by its letter.
func hole(letter string, xInch, yInch float64, source Source) Hole {
	return Hole{Letter: letter, At: Point{xInch * millimetresPerInch, yInch * millimetresPerInch}, Source: source}
}

var (
	holeA = hole("A", 11.35, 0.40, srcHoleDrawings)
	holeB = hole("B", 8.25, 0.40, srcHoleDrawings)
	holeC = hole("C", 6.45, 0.40, srcHoleDrawings)
	holeF = hole("F", 0.25, 1.30, srcHoleDrawings)
	holeG = hole("G", 11.35, 6.50, srcHoleDrawings)
	holeH = hole("H", 6.45, 6.50, srcHoleDrawings)
	holeJ = hole("J", 0.25, 6.50, srcHoleDrawings)
	holeK = hole("K", 11.35, 9.35, srcHoleDrawings)
	holeL = hole("L", 6.45, 9.35, srcHoleDrawings)
	holeM = hole("M", 0.25, 9.35, srcHoleDrawings)
	holeR = hole("R", 9.05, 6.50, srcHoleDrawings)
	holeS = hole("S", 8.25, 6.50, srcHoleDrawings)

	holesATX = []Hole{holeA, holeC, holeF, holeG, holeH, holeJ, holeK, holeL, holeM}
	holesITX = []Hole{holeC, holeF, holeH, holeJ}
)

func optional(h Hole) Hole { h.Optional = true; return h }

var boards = []Board{
	{BoardMiniITX, "Mini-ITX", 170, 170, holesITX, 1, srcMiniITX, srcMiniITX, srcSlotDrawings},
	{BoardMicroATX, "microATX", 243.84, 243.84,
		[]Hole{holeB, holeC, holeF, holeH, holeJ, holeL, holeM, holeR, optional(holeS)},
		4, srcMicroATXOutline, srcMicroATXHoles, srcMicroATXSlots},
	{BoardATX, "ATX", 304.8, 243.84, holesATX, 7, srcMicroATXOutline, srcMicroATXHoles, srcSlotDrawings},
	{BoardMiniDTX, "Mini-DTX", 203, 170, holesITX, 2, srcBoardTable, srcHoleMemory, srcSlotMemory},
	{BoardFlexATX, "FlexATX", 229, 191,
		[]Hole{holeB, holeC, holeF, holeH, holeJ, optional(holeS)}, 2, srcBoardTable, srcHoleMemory, srcSlotMemory},
	{BoardEATX, "Extended ATX", 304.8, 330.2, slices.Concat(holesATX, []Hole{
		hole("E1", 0.25, 12.70, srcHoleDrawing), hole("E2", 6.45, 12.70, srcHoleDrawing), hole("E3", 11.35, 12.70, srcHoleDrawing),
	}), 7, srcBoardTable, srcHoleMemory, srcSlotMemory},
	{BoardSSICEB, "SSI CEB", 304.8, 266.7, holesATX, 7, srcBoardTable, srcBoardTable, srcSlotMemory},
	{BoardSSIEEB, "SSI EEB", 304.8, 330.2, nil, 7, srcBoardTable, srcBoardTable, srcSlotMemory},
}

// Boards returns the board form factors.
func Boards() []Board {
	out := slices.Clone(boards)
	for i := range out {
		out[i].Holes = slices.Clone(out[i].Holes)
	}
	return out
}

// BoardByToken returns one board form factor, or an [UnknownTokenError].
func BoardByToken(token string) (Board, error) {
	i := slices.IndexFunc(boards, func(b Board) bool { return b.Token == token })
	if i < 0 {
		return Board{}, unknown(VocabBoard, token)
	}
	b := boards[i]
	b.Holes = slices.Clone(b.Holes)
	return b, nil
}

// HoleByLetter returns the hole with that letter on this board.
func (b Board) HoleByLetter(letter string) (Hole, bool) {
	i := slices.IndexFunc(b.Holes, func(h Hole) bool { return h.Letter == letter })
	if i < 0 {
		return Hole{}, false
	}
	return b.Holes[i], true
}

// Covers reports whether a point of the board's frame lies under its outline,
// the edge included.
func (b Board) Covers(p Point) bool {
	return p.XMM >= 0 && p.XMM <= b.WidthMM && p.YMM >= 0 && p.YMM <= b.DepthMM
}

// SlotCentreXMM returns the x of the centreline of expansion slot n, counted
// from 1 beside the processor, in the board's frame. Slots 1 to 7 exist.
func SlotCentreXMM(n int) (float64, error) {
	if n < 1 || n > 7 {
		return 0, fmt.Errorf("expansion slot %d does not exist; slots are counted from 1, beside the processor, to 7", n)
	}
	return FirstSlotCentreX.Value + float64(n-1)*SlotPitch.Value, nil
}

// HeightZone is an area of a board above which components stay below a height.
type HeightZone struct {
	// Board is the form factor's token; Name the zone's name in its drawing.
	Board, Name string
	// From and To are the area's corners in the board's frame.
	From, To Point
	// HeightMM is the highest component over the board's top face.
	HeightMM float64
	// Source is that of the row.
	Source Source
}

var srcITXZones = drawings("mini-itx-1.1-fig4-drawing", "drawing after the Mini-ITX addendum 1.1", "figure 4, component heights", 1)

var heightZones = []HeightZone{
	{BoardMiniITX, "rear connectors", Point{0, 0}, Point{170, 27}, 39, srcITXZones},
	{BoardMiniITX, "A", Point{0, 27}, Point{155, 140}, 57, srcITXZones},
	{BoardMiniITX, "B", Point{155, 27}, Point{170, 170}, 16, srcITXZones},
	{BoardMiniITX, "C", Point{0, 140}, Point{155, 170}, 38, srcITXZones},
}

// HeightZones returns the component height zones that are known.
func HeightZones() []HeightZone { return slices.Clone(heightZones) }

// HeightLimitAt returns the zone that holds above a point of the board's frame;
// on a border the lower limit counts. It reports false where none is known.
func HeightLimitAt(board string, p Point) (HeightZone, bool) {
	best, found := HeightZone{HeightMM: math.Inf(1)}, false
	for _, z := range heightZones {
		inside := p.XMM >= z.From.XMM && p.XMM <= z.To.XMM && p.YMM >= z.From.YMM && p.YMM <= z.To.YMM
		if z.Board == board && inside && z.HeightMM < best.HeightMM {
			best, found = z, true
		}
	}
	if !found {
		return HeightZone{}, false
	}
	return best, true
}
