package audit

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var fanHolesRule = kit.Rule{
	ID: "audit.fan-holes", Title: "A fan's hole pitch against its frame", Since: "0.1.0",
	Why:     "The hole pitch follows from the frame size; one that does not is that of another fan, or slipped.",
	Formula: "The hole pitch is held against those that drawings give for the frame size, with 1 mm to either side.",
	Sources: []source{fanSizes[0].Source},
	Reads:   []string{"fan.hole_pitch_mm", "fan.size_mm"},
	Texts: texts("The hole pitch of {part} is that of its frame size.",
		"Whether the hole pitch of {part} is right cannot be told without {missing}; the frame size stands in every data sheet."),
	Remedies: remedies(),
	Judge:    each(judgeFanHoles),
}

// fanSizes are the standard's frame sizes; smaller and larger ones are held against
// shares of their own size.
var fanSizes = standards.FanSizes()

func fanSizeOf(mm uint32) *standards.FanSize {
	for i := range fanSizes {
		if fanSizes[i].NominalMM == int(mm) {
			return &fanSizes[i]
		}
	}
	return nil
}

const holeTolerance = 1 // mm, of drawings against each other

func judgeFanHoles(s *sheet) {
	eachFan(s.it.Part, func(prefix string, fan *v1.Fan) {
		if fan.HolePitchMm == nil {
			return
		}
		if fan.SizeMm == nil {
			s.lack(prefix+"size_mm", "mm")
			return
		}
		size := float64(*fan.SizeMm)
		low, high := 0.74*size, 0.97*size
		if known := fanSizeOf(*fan.SizeMm); known != nil {
			low, high = known.PitchMM-holeTolerance, known.PitchMM+holeTolerance
			for _, other := range known.OtherPitchesMM {
				low, high = min(low, other-holeTolerance), max(high, other+holeTolerance)
			}
		}
		if *fan.HolePitchMm >= low && *fan.HolePitchMm <= high {
			s.held++
			return
		}
		s.hold(figure{
			prefix + "hole_pitch_mm", fan.HolePitchMm, "mm", low, high,
			func() string {
				return fmt.Sprintf("frames of %g mm have their holes %.4g to %.4g mm apart", size, low, high)
			}, true,
		}, s.given(prefix+"size_mm", &size, "mm"))
	})
}
