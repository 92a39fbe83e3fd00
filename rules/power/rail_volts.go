package power

import (
	"strings"

	"slipfit.example/rules/electric"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// railVoltsOf is what a supply's rails may stand at by its design guide. A supply
// that names no guide, or one that is not known, is held to the widest limits.
func railVoltsOf(supply *kit.Item) (out [railCount]electric.Range) {
	for r, token := range railTokens {
		out[r] = guideVolts(standards.GuideATX3, token)
	}
	if olderGuide(supply) {
		out[rail12] = guideVolts(standards.GuideATX12V2, standards.Rail12V)
	}
	return out
}

// olderGuide reports whether a supply names a guide of the generation before.
func olderGuide(supply *kit.Item) bool {
	guide := supply.Part.GetSupply().GetGuide()
	return strings.HasPrefix(guide, "atx-2.") || strings.HasPrefix(guide, "atx12v-2.")
}

// namesGuide reports whether a supply names a guide that is known.
func namesGuide(supply *kit.Item) bool { return guided(supply) || olderGuide(supply) }

func guideVolts(guide, rail string) electric.Range {
	limit, err := standards.RailLimitFor(guide, rail)
	if err != nil {
		panic(err)
	}
	return electric.Range{Low: limit.LowV, Nominal: limit.NominalV, High: limit.HighV}
}

// cardLowV is the least voltage on 12 V at an add-in card.
var cardLowV = guideVolts(standards.GuideCard, standards.Rail12V).Low
