package sound

import (
	"math"

	"slipfit.example/rules/air"
)

// Hearing is how two tones close to each other are heard together.
type Hearing int

// Ways in which two neighbouring tones are heard, by their beat frequency.
const (
	Steady      Hearing = iota // slower than one beat in ten seconds: one tone
	Swelling                   // up to 2 Hz: each rise and fall is followed; what the trade calls droning
	Fluctuating                // 2 to 15 Hz: a quick wobble, strongest at 4 Hz
	Rough                      // 15 to 300 Hz: harshness, strongest at 70 Hz
	Apart                      // faster: two tones
)

// String is the judgement in words.
func (h Hearing) String() string {
	switch h {
	case Steady:
		return "steady"
	case Swelling:
		return "swelling"
	case Fluctuating:
		return "fluctuating"
	case Rough:
		return "rough"
	case Apart:
		return "two tones"
	}
	return "unknown"
}

// Borders of the judgements in Hz. Fluctuation turns into roughness between 15
// and 20 Hz and roughness is gone above 300 Hz (Fastl and Zwicker,
// Psychoacoustics). That slower beats than 2 Hz are followed one by one, as
// droning, is common practice, no source.
const (
	slowestBeatHz = 0.1
	swellingHz    = 2
	roughFromHz   = 15
	apartFromHz   = 300
)

// Beat is what two tones do to each other.
type Beat struct {
	Hz float64 // times a second that they swell
	// DepthDB is the level difference between loudest and quietest moment.
	DepthDB float64
	Hearing Hearing
	// Fluctuation is the strength of fluctuation as a share of the same tones
	// at 4 Hz, where it is greatest: 2/(f/4 + 4/f) (Fastl 1982).
	Fluctuation float64
	// Prominent tells that the beat can be heard out: swelling, fluctuating or
	// rough, and at least 3 dB deep (common practice, no source; a just
	// noticeable change of level is about 1 dB). Broadband noise of the same
	// fans hides part of it.
	Prominent bool
}

// Neighbours judges two tones in Hz with levels in dB at the listener. Tones
// come from BladePassHz. Fans of 1475 and 1525 rpm with seven blades beat at
// 5.8 Hz: too quick to be followed one by one as droning, but at 93 percent of
// the greatest fluctuation, so that "far enough apart not to drone" does not
// make them inconspicuous. One control line for both, or more than 15 Hz
// between them (130 rpm with seven blades), takes the wobble away; beyond,
// roughness sets in and is greatest at 70 Hz (600 rpm).
func Neighbours(aHz, aDB, bHz, bDB float64) (Beat, error) {
	for _, f := range [2]float64{aHz, bHz} {
		if err := air.CheckRange("frequency of a tone", f, 1, 2e4, "Hz"); err != nil {
			return Beat{}, err
		}
	}
	if err := checkNone([]float64{aDB, bDB}); err != nil {
		return Beat{}, err
	}
	b := Beat{Hz: math.Abs(aHz - bHz)}
	ratio := math.Pow(10, -math.Abs(aDB-bDB)/20) // weaker over stronger pressure
	b.DepthDB = min(60, 20*math.Log10((1+ratio)/max(1-ratio, 1e-6)))
	switch {
	case b.Hz < slowestBeatHz:
		b.Hearing = Steady
	case b.Hz < swellingHz:
		b.Hearing = Swelling
	case b.Hz < roughFromHz:
		b.Hearing = Fluctuating
	case b.Hz < apartFromHz:
		b.Hearing = Rough
	default:
		b.Hearing = Apart
	}
	if b.Hz > 0 {
		b.Fluctuation = 2 / (b.Hz/4 + 4/b.Hz)
	}
	b.Prominent = b.Hearing != Steady && b.Hearing != Apart && b.DepthDB >= 3
	return b, nil
}

// CriticalBandwidthHz is the width of the critical band around a frequency, 25
// + 75 (1 + 1.4 (f/1000)^2)^0.69 Hz.
func CriticalBandwidthHz(hz float64) (float64, error) {
	if err := air.CheckRange("frequency of a tone", hz, 20, 2e4, "Hz"); err != nil {
		return 0, err
	}
	k := hz / 1000
	return 25 + 75*math.Pow(1+1.4*k*k, 0.69), nil
}

// Range of tones that ECMA-418-1 judges, Hz.
const (
	lowestToneHz  = 89.1
	highestToneHz = 11220.0
)

// ToneToNoiseLimitDB is the tone-to-noise ratio from which a tone is prominent:
// 8 dB, and 8.33 lg(1000/f) more below 1 kHz (ECMA-418-1:2024).
func ToneToNoiseLimitDB(hz float64) (float64, error) {
	if err := air.CheckRange("frequency of a tone", hz, lowestToneHz, highestToneHz, "Hz"); err != nil {
		return 0, err
	}
	return 8 + 8.33*math.Max(0, math.Log10(1000/hz)), nil
}

// ProminenceLimitDB is the prominence ratio from which a tone is prominent: 9
// dB, and 10 lg(1000/f) more below 1 kHz (ECMA-418-1:2024).
func ProminenceLimitDB(hz float64) (float64, error) {
	if err := air.CheckRange("frequency of a tone", hz, lowestToneHz, highestToneHz, "Hz"); err != nil {
		return 0, err
	}
	return 9 + 10*math.Max(0, math.Log10(1000/hz)), nil
}
