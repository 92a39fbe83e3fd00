package standards

import (
	"fmt"
	"math"
	"slices"
)

// Tokens of the threads.
const (
	ThreadM2  = "m2"
	ThreadM25 = "m2.5"
	ThreadM3  = "m3"
	ThreadM4  = "m4"
	ThreadM5  = "m5"
	Thread440 = "4-40"
	Thread632 = "6-32"
)

var (
	srcThreadMetric  = register("iso-metric-thread", "ISO metric coarse thread tables (ISO 261, ISO 965)", "", Published)
	srcThreadInch    = register("unc-thread", "Unified coarse thread tables (ASME B1.1)", "", Published)
	srcThreadStress  = register("thread-stress-area", "ISO 898-1 and ASME B1.1", "tensile stress area formulas", Derived)
	srcClearance     = register("iso-273", "ISO 273", "", Published)
	srcClearanceMem  = register("iso-273-small", "ISO 273", "rows M2 and M2.5", Memory)
	srcClearanceNone = register("asme-b18.2.8", "ASME B18.2.8", "clearance holes, not seen", Memory)
	srcThreadPair    = register("thread-pair", "ISO metric and Unified coarse thread tables", "pitch and major diameter compared", Derived)
)

// Thread is a screw thread; all lengths are millimetres.
type Thread struct {
	// Token and Name are the document's token and the standard's name.
	Token, Name string
	// PitchMM is the distance of turns, MajorMM the outer diameter.
	PitchMM, MajorMM float64
	// NutMinorMM is the nut's inner diameter D1; NutMinorHighMM its largest
	// for inch threads, 0 where only the basic one is tabled.
	NutMinorMM, NutMinorHighMM float64
	// ScrewMinorMM is the screw's core diameter d3.
	ScrewMinorMM float64
	// TapDrillMM is the drill before tapping.
	TapDrillMM float64
	// StressAreaMM2 is the tensile stress area.
	StressAreaMM2 float64
	// CloseMM, NormalMM and LooseMM are clearance holes; 0 where not known.
	CloseMM, NormalMM, LooseMM float64
	// Source is that of the thread, StressSource of the stress area and
	// ClearanceSource of the clearance holes.
	Source, StressSource, ClearanceSource Source
}

var threads = []Thread{
	{ThreadM2, "M2", 0.4, 2.0, 1.567, 0, 1.509, 1.6, 2.07, 2.2, 2.4, 2.6, srcThreadMetric, srcThreadStress, srcClearanceMem},
	{ThreadM25, "M2.5", 0.45, 2.5, 2.013, 0, 1.948, 2.05, 3.39, 2.7, 2.9, 3.1, srcThreadMetric, srcThreadStress, srcClearanceMem},
	{ThreadM3, "M3", 0.5, 3.0, 2.459, 0, 2.387, 2.5, 5.03, 3.2, 3.4, 3.6, srcThreadMetric, srcThreadStress, srcClearance},
	{ThreadM4, "M4", 0.7, 4.0, 3.242, 0, 3.141, 3.3, 8.78, 4.3, 4.5, 4.8, srcThreadMetric, srcThreadStress, srcClearance},
	{ThreadM5, "M5", 0.8, 5.0, 4.134, 0, 4.019, 4.2, 14.18, 5.3, 5.5, 5.8, srcThreadMetric, srcThreadStress, srcClearance},
	{Thread440, "4-40 UNC", 0.635, 2.845, 2.157, 2.385, 2.045, 2.261, 3.89, 0, 0, 0, srcThreadInch, srcThreadStress, srcClearanceNone},
	{Thread632, "6-32 UNC", 0.794, 3.505, 2.642, 2.896, 2.512, 2.705, 5.86, 0, 0, 0, srcThreadInch, srcThreadStress, srcClearanceNone},
}

// Threads returns the threads.
func Threads() []Thread { return slices.Clone(threads) }

// ThreadByToken returns one thread, or an [UnknownTokenError].
func ThreadByToken(token string) (Thread, error) {
	i := slices.IndexFunc(threads, func(t Thread) bool { return t.Token == token })
	if i < 0 {
		return Thread{}, unknown(VocabThread, token)
	}
	return threads[i], nil
}

// samePitchMM is the rounding of pitches in the tables: within it two pitches
// are one.
const samePitchMM = 0.001

// Mates tells whether a screw of one thread goes into a tapped hole of another.
// Equal tokens mate, also unknown ones, which compare as text; an unknown token
// beside another is an [UnknownTokenError].
func Mates(screw, hole string) (Answer, error) {
	if screw == hole {
		a := Answer{true, fmt.Sprintf("screw and hole are both %s", screw), srcSameToken}
		if t, err := ThreadByToken(screw); err == nil {
			a.Source = t.Source
		}
		return a, nil
	}
	s, err := ThreadByToken(screw)
	if err != nil {
		return Answer{}, fmt.Errorf("the screw cannot be compared with the hole: %w", err)
	}
	h, err := ThreadByToken(hole)
	if err != nil {
		return Answer{}, fmt.Errorf("the hole cannot be compared with the screw: %w", err)
	}
	var reason string
	switch {
	case s.MajorMM > h.MajorMM && math.Abs(s.PitchMM-h.PitchMM) > samePitchMM:
		reason = fmt.Sprintf("the %s screw is %g mm over its thread, more than %s's %g mm, and its pitch is %g mm against %g mm: it cuts its own way and ruins the hole",
			s.Name, s.MajorMM, h.Name, h.MajorMM, s.PitchMM, h.PitchMM)
	case s.MajorMM > h.MajorMM:
		reason = fmt.Sprintf("the %s screw is %g mm over its thread and does not enter %s's %g mm", s.Name, s.MajorMM, h.Name, h.MajorMM)
	case s.MajorMM <= h.NutMinorMM:
		reason = fmt.Sprintf("the %s screw is %g mm over its thread and falls through %s's %g mm bore", s.Name, s.MajorMM, h.Name, h.NutMinorMM)
	default:
		reason = fmt.Sprintf("the %s screw has a pitch of %g mm and the %s hole one of %g mm: it jams or holds by one turn",
			s.Name, s.PitchMM, h.Name, h.PitchMM)
	}
	return Answer{false, reason, srcThreadPair}, nil
}

// ThreadUse tells which thread the trade uses where.
type ThreadUse struct {
	// Where names the joint; Threads are the tokens in use, commonest first.
	Where   string
	Threads []string
	// Source is that of the row.
	Source Source
}

var (
	srcThreadUse    = register("screw-uses", "encyclopaedia of computer screws", "", Published)
	srcThreadUseTwo = register("screw-uses-board", "encyclopaedia of computer screws and a second list", "board screws, either by the standoff supplied", Published)
	srcThreadUseMem = register("screw-uses-memory", "screws of fans, radiators and M.2 modules", "", Memory)
)

var threadUses = []ThreadUse{
	{"supply", []string{Thread632}, srcThreadUse},
	{"3.5 in drive", []string{Thread632}, srcThreadUse},
	{"expansion card bracket", []string{Thread632}, srcThreadUse},
	{"enclosure panel", []string{Thread632}, srcThreadUse},
	{"board standoff", []string{Thread632, ThreadM3}, srcThreadUseTwo},
	{"2.5 in drive", []string{ThreadM3}, srcThreadUse},
	{"5.25 in optical drive", []string{ThreadM3}, srcThreadUse},
	{"jack post of a rear connector", []string{Thread440}, srcThreadUse},
	{"radiator", []string{ThreadM3, Thread632}, srcThreadUseMem},
	{"M.2 module", []string{ThreadM2, ThreadM3}, srcThreadUseMem},
	{"enclosure fan with nuts", []string{ThreadM4}, srcThreadUseMem},
}

// ThreadUses returns which thread is used where.
func ThreadUses() []ThreadUse {
	out := slices.Clone(threadUses)
	for i := range out {
		out[i].Threads = slices.Clone(out[i].Threads)
	}
	return out
}
