package audit

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var supplyFormRule = kit.Rule{
	ID: "audit.supply-form", Title: "A supply's size against its form factor", Since: "0.1.0",
	Why:     "The form factor fixes the supply's face and mostly its length; a size beside it belongs to another form factor or slipped.",
	Formula: "Width and height are held against the form factor's envelope with 2 mm to either side, the length too unless the form factor leaves it open.",
	Sources: []source{supplyForms[0].Source, experience},
	Reads:   []string{"supply.form_factor", "supply.width_mm", "supply.height_mm", "supply.length_mm"},
	Texts: texts("The size of {part} is that of its form factor.",
		"Whether the size of {part} is right cannot be told without {missing}; the form factor stands on the box."),
	Remedies: remedies(),
	Judge:    each(judgeSupplyForm),
}

var supplyForms = standards.SupplyForms()

const (
	envelopePlay = 2    // mm
	longest      = 1.75 // times the envelope, where the length is open
	longerSold   = 1.3  // the same where the table is no published standard
)

func judgeSupplyForm(s *sheet) {
	supply := s.it.Part.GetSupply()
	if supply == nil || supply.WidthMm == nil && supply.HeightMm == nil && supply.LengthMm == nil {
		return
	}
	if supply.FormFactor == nil {
		s.lack("supply.form_factor", "")
		return
	}
	for i := range supplyForms {
		if supplyForms[i].Token == *supply.FormFactor {
			holdEnvelope(s, &supplyForms[i], supply.WidthMm, supply.HeightMm, supply.LengthMm)
			return
		}
	}
}

func holdEnvelope(s *sheet, form *standards.SupplyForm, width, height, length *float64) {
	side := func(field string, v *float64, low, high float64) {
		s.hold(figure{field, v, "mm", low, high, func() string {
			return between("those of "+form.Name+" supplies", low, high, "mm")()
		}, true})
	}
	side("supply.width_mm", width, form.WidthMM-envelopePlay, form.WidthMM+envelopePlay)
	side("supply.height_mm", height, form.HeightMM-envelopePlay, form.HeightMM+envelopePlay)
	deepest := form.DepthMM + envelopePlay
	switch {
	case form.DepthVaries:
		deepest = form.DepthMM * longest
	case !form.Source.Firm():
		deepest = form.DepthMM * longerSold
	}
	side("supply.length_mm", length, form.DepthMM-2*envelopePlay, deepest)
}
