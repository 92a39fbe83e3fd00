package standards

import (
	"fmt"
	"slices"
	"strings"
)

const (
	// outlineToleranceMM is the disagreement between the Mini-ITX addendum
	// (170 mm) and inch drawings (170.18 mm), rounded up.
	outlineToleranceMM = 0.2
	// standoffToleranceMM is the play of an M3 screw in a 3.96 mm hole, per
	// side: within it, standoff and hole are the same place.
	standoffToleranceMM = 0.48
)

// StandoffMatch tells how a set of standoffs meets a board's holes.
type StandoffMatch struct {
	// Supported are the board's holes with a standoff under them.
	Supported []Hole
	// Unsupported are the required holes without one.
	Unsupported []Hole
	// Stray are standoffs under the board where it has no hole: they can short
	// or crack conductors and must be removed.
	Stray []Point
	// Outside are standoffs clear of the board: harmless.
	Outside []Point
	// Source is the clause on stray standoffs, or that of the hole set where
	// it is weaker.
	Source Source
}

// MatchStandoffs compares standoffs, given in the board's frame, with the holes
// of a form factor. A form factor without a known hole set is an error.
func MatchStandoffs(board string, standoffs []Point) (StandoffMatch, error) {
	b, err := BoardByToken(board)
	if err != nil {
		return StandoffMatch{}, err
	}
	if len(b.Holes) == 0 {
		return StandoffMatch{}, fmt.Errorf("the mounting holes of form factor %q are not in the tables; give the board's own hole positions", board)
	}
	match := StandoffMatch{Source: Weaker(srcMicroATXStray, b.HolesSource)}
	for _, h := range b.Holes {
		near := func(p Point) bool { return p.Distance(h.At) <= standoffToleranceMM }
		switch {
		case slices.ContainsFunc(standoffs, near):
			match.Supported = append(match.Supported, h)
		case !h.Optional:
			match.Unsupported = append(match.Unsupported, h)
		}
	}
	for i, p := range standoffs {
		if err := finitePoint(i, p); err != nil {
			return StandoffMatch{}, err
		}
		onHole := func(h Hole) bool { return p.Distance(h.At) <= standoffToleranceMM }
		switch {
		case slices.ContainsFunc(b.Holes, onHole):
		case b.Covers(p):
			match.Stray = append(match.Stray, p)
		default:
			match.Outside = append(match.Outside, p)
		}
	}
	return match, nil
}

func finitePoint(i int, p Point) error {
	what := fmt.Sprintf("the position of standoff %d", i+1)
	if err := inRange(what, p.XMM, -maxLengthMM, maxLengthMM, "mm"); err != nil {
		return err
	}
	return inRange(what, p.YMM, -maxLengthMM, maxLengthMM, "mm")
}

// TrayMatch tells whether a tray made for one form factor takes a board of
// another.
type TrayMatch struct {
	// Tray and Board are the tokens compared.
	Tray, Board string
	// Determined is false where a hole set needed for the answer is not known.
	Determined bool
	// Takes is true where the outline fits the tray's, and holes C, F, H and J,
	// which the ATX family has in common, are shared.
	Takes bool
	// Unsupported are required holes of the board that the tray's own form
	// factor has no standoff for; the tray may still bring one.
	Unsupported []Hole
	// Stray are standoffs of the tray's form factor that would lie under the
	// board without a hole and have to be left out.
	Stray []Point
	// Reason is a sentence for a finding.
	Reason string
	// Source is the weakest one the answer rests on.
	Source Source
}

// TrayTakes tells whether a tray of one form factor takes a board of another,
// by outline and holes. Equal tokens always match, also unknown ones; an
// unknown token beside a different one is an [UnknownTokenError].
func TrayTakes(tray, board string) (TrayMatch, error) {
	match := TrayMatch{Tray: tray, Board: board, Determined: true, Source: srcMicroATXStray}
	if tray == board {
		match.Takes = true
		match.Reason = fmt.Sprintf("tray and board are both %s", board)
		if b, err := BoardByToken(board); err == nil {
			match.Source = Weaker(b.Source, b.HolesSource)
		} else {
			match.Source = srcSameToken
		}
		return match, nil
	}
	t, err := BoardByToken(tray)
	if err != nil {
		return TrayMatch{}, fmt.Errorf("the tray cannot be compared with the board: %w", err)
	}
	b, err := BoardByToken(board)
	if err != nil {
		return TrayMatch{}, fmt.Errorf("the board cannot be compared with the tray: %w", err)
	}
	match.Source = Weaker(t.Source, b.Source)
	if b.WidthMM > t.WidthMM+outlineToleranceMM || b.DepthMM > t.DepthMM+outlineToleranceMM {
		match.Reason = fmt.Sprintf("a %s board of %g x %g mm is larger than the %s outline of %g x %g mm that the tray is made for",
			b.Name, b.WidthMM, b.DepthMM, t.Name, t.WidthMM, t.DepthMM)
		return match, nil
	}
	match.Source = Weaker(match.Source, Weaker(t.HolesSource, b.HolesSource))
	if len(t.Holes) == 0 || len(b.Holes) == 0 {
		match.Determined = false
		match.Reason = fmt.Sprintf("the holes of %s or %s are not known, so the outline alone does not decide", t.Name, b.Name)
		return match, nil
	}
	return byHoles(match, t, b)
}

var srcSameToken = register("same-token", "equal tokens compare as text", "", CommonPractice)

// byHoles fills in a tray match whose outline already fits.
func byHoles(match TrayMatch, t, b Board) (TrayMatch, error) {
	standoffs := make([]Point, len(t.Holes))
	for i, h := range t.Holes {
		standoffs[i] = h.At
	}
	holes, err := MatchStandoffs(b.Token, standoffs)
	if err != nil {
		return TrayMatch{}, err
	}
	match.Unsupported, match.Stray = holes.Unsupported, holes.Stray
	match.Takes = true
	for _, h := range holesITX {
		if !slices.ContainsFunc(holes.Supported, func(s Hole) bool { return s.Letter == h.Letter }) {
			match.Takes = false
		}
	}
	match.Reason = fmt.Sprintf("a tray for %s has standoffs for holes %s of a %s board", t.Name, letters(holes.Supported), b.Name)
	if len(holes.Unsupported) > 0 {
		match.Reason += fmt.Sprintf("; it needs more for holes %s", letters(holes.Unsupported))
	}
	return match, nil
}

func letters(holes []Hole) string {
	out := make([]string, len(holes))
	for i, h := range holes {
		out[i] = h.Letter
	}
	return strings.Join(out, ", ")
}
