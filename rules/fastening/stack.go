package fastening

import (
	"fmt"
	"math"
	"strings"

	"slipfit.example/rules/standards"
)

// Token is a thread's token for the tables: "M3" and "m3" are one thread.
func Token(thread string) string { return strings.ToLower(strings.TrimSpace(thread)) }

// Same reports whether two threads are one, as the trade writes them.
func Same(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

// Stack is what one screw goes through and into.
type Stack struct {
	// Thread is the screw's.
	Thread string
	// ClampedMM are the layers between the head and the thread: panel, fan, washer.
	// A countersunk head lies within the first, and its length counts from the
	// face, so that the sum is the same for it.
	ClampedMM []float64
	// Material is what the thread is cut into, as the engagement tables name it:
	// "steel", "cast-iron", "aluminium", "zinc", "plastic".
	Material string
	// ThreadedMM is how deep the thread itself is, 0 where it is not known. A
	// sheet thinner than the engagement asks for is taken as a drawn hole or a
	// pressed nut: then the whole sheet is what holds.
	ThreadedMM float64
	// DepthMM is how far the screw may enter before it does harm, 0 where nothing
	// is in its way.
	DepthMM float64
}

// LengthRange is how long a screw may be.
type LengthRange struct {
	// ShortestMM still holds. LongestMM does no harm, 0 where there is no bound.
	ShortestMM, LongestMM float64
	// EngagedMM is the engagement that ShortestMM gives.
	EngagedMM float64
	// Source is that of the engagement.
	Source standards.Source
}

// Lengths works out how long a screw must and may be. The error says what is
// missing, or that no length serves: the thread is shallower than what must hold.
func (s Stack) Lengths() (LengthRange, error) {
	if err := s.check(); err != nil {
		return LengthRange{}, err
	}
	need, err := standards.EngagementFor(Token(s.Thread), s.Material)
	if err != nil {
		return LengthRange{}, fmt.Errorf("how far a %s screw must enter %s is not known: %w", s.Thread, s.Material, err)
	}
	engaged := need.NeedMM
	if s.ThreadedMM > 0 {
		engaged = math.Min(engaged, s.ThreadedMM)
	}
	clamped := 0.0
	for _, mm := range s.ClampedMM {
		clamped += mm
	}
	r := LengthRange{ShortestMM: clamped + engaged, EngagedMM: engaged, Source: need.Source}
	if s.DepthMM > 0 {
		r.LongestMM = clamped + s.DepthMM
		if r.LongestMM < r.ShortestMM {
			return r, fmt.Errorf("a %s screw must enter %g mm to hold in %s, and only %g mm are free; no length serves",
				s.Thread, engaged, s.Material, s.DepthMM)
		}
	}
	return r, nil
}

func (s Stack) check() error {
	for _, mm := range append([]float64{s.ThreadedMM, s.DepthMM}, s.ClampedMM...) {
		if !(mm >= 0 && mm <= 1000) {
			return fmt.Errorf("a layer of %g mm under a %s screw makes no sense; give 0 to 1000 mm", mm, s.Thread)
		}
	}
	return nil
}

// TooDeepMM is how far a screw's tip goes past what is free behind its thread, 0
// where it does not.
func TooDeepMM(lengthMM, depthMM float64, clampedMM ...float64) (float64, error) {
	out, err := standards.ProtrusionMM(lengthMM, clampedMM...)
	if err != nil {
		return 0, err
	}
	return math.Max(0, out-depthMM), nil
}

// Countersunk heads by their names in documents and tables.
var countersunk = map[string]bool{
	"countersunk": true, standards.HeadHexCountersunk: true, standards.HeadInchCountersunk: true,
}

// HeadFits tells whether a head goes with a hole's rim: a countersunk head into a
// countersunk rim and no other, and into it no other head, which would stand out
// on its edge. An empty head is not known, and answers false for known.
func HeadFits(head string, rimCountersunk bool) (fits, known bool) {
	if head == "" {
		return false, false
	}
	return countersunk[head] == rimCountersunk, true
}
