package audit

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var fanThicknessRule = kit.Rule{
	ID: "audit.fan-thickness", Title: "A fan's thickness against its frame", Since: "0.1.0",
	Why:     "Thickness decides whether a fan goes under a radiator or beside a card; frames are made in a few thicknesses.",
	Formula: "The thickness is held against the thinnest and the thickest that frames of the size are sold in, a quarter beyond either.",
	Sources: []source{fanSizes[0].ThicknessSource, experience},
	Reads:   []string{"fan.thickness_mm", "fan.size_mm"},
	Texts: texts("The thickness of {part} is one that frames of its size are sold in.",
		"Whether the thickness of {part} is plausible cannot be told without {missing}; the frame size stands in every data sheet."),
	Remedies: remedies(),
	Judge:    each(judgeFanThickness),
}

// spread is what is allowed beyond the thinnest and the thickest.
const spread = 1.25

func judgeFanThickness(s *sheet) {
	eachFan(s.it.Part, func(prefix string, fan *v1.Fan) {
		if fan.ThicknessMm == nil {
			return
		}
		if fan.SizeMm == nil {
			s.lack(prefix+"size_mm", "mm")
			return
		}
		low, high := 8., 38.
		if known := fanSizeOf(*fan.SizeMm); known != nil {
			low, high = known.ThicknessesMM[0], known.ThicknessesMM[len(known.ThicknessesMM)-1]
		}
		if v := *fan.ThicknessMm; v >= low/spread && v <= high*spread {
			s.held++
			return
		}
		s.hold(figure{
			prefix + "thickness_mm", fan.ThicknessMm, "mm", low / spread, high * spread,
			func() string {
				return fmt.Sprintf("frames of %d mm are %g to %g mm thick", *fan.SizeMm, low, high)
			}, false,
		}, s.given(prefix+"size_mm", number(*fan.SizeMm), "mm"))
	})
}
