package audit

import (
	"fmt"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var cardThicknessRule = kit.Rule{
	ID: "audit.card-thickness", Title: "A card's thickness against its slots", Since: "0.1.0",
	Why:     "A card that takes two openings is about two pitches thick; a shop that believes a slipped figure sells a card that does not go in.",
	Formula: "The thickness is held against the pitch of slots times their number, 4 mm less than one slot fewer and 4 mm more than all.",
	Sources: []source{standards.CardWidths()[0].Source, experience},
	Reads:   []string{"card.thickness_mm", "card.slots"},
	Texts: texts("The thickness of {part} goes with the slots that it takes.",
		"Whether the thickness of {part} is plausible cannot be told without {missing}: the number of bracket openings that it takes."),
	Remedies: remedies(),
	Judge:    each(judgeCardThickness),
}

const cardPlay = 4 // mm

func judgeCardThickness(s *sheet) {
	card := s.it.Part.GetCard()
	if card == nil || card.ThicknessMm == nil {
		return
	}
	if card.Slots == nil {
		s.lack("card.slots", "")
		return
	}
	slots := float64(*card.Slots)
	pitch := standards.SlotPitch.Value
	low, high := max(5, (slots-1)*pitch-cardPlay), slots*pitch+cardPlay
	s.hold(figure{"card.thickness_mm", card.ThicknessMm, "mm", low, high, func() string {
		return fmt.Sprintf("cards of %g slots are %.3g to %.3g mm thick", slots, low, high)
	}, false}, s.given("card.slots", &slots, ""))
}
