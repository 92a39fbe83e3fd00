package audit

import "testing"

func TestSupplyForm(t *testing.T) {
	table(t, "audit.supply-form", []row{
		{"SFX is 125 by 63.5 by 100 mm (desktop supply design guide)", "supply: {form_factor: sfx, width_mm: 125, height_mm: 63.5, length_mm: 100}", []string{"PASS entry"}},
		{"ATX supplies are sold longer", "supply: {form_factor: atx-ps2, width_mm: 150, height_mm: 86, length_mm: 180}", []string{"PASS entry"}},
		{"the width of another form factor", "supply: {form_factor: sfx, width_mm: 150}", []string{"FAIL entry margin -23 mm"}},
		{"inches", "supply: {form_factor: sfx, width_mm: 4.92}", []string{"FAIL entry margin -118.1 mm"}},
		{"a length of SFX-L called SFX", "supply: {form_factor: sfx, length_mm: 130}", []string{"FAIL entry margin -28 mm"}},
		{"no form factor", "supply: {width_mm: 125}", []string{"UNKNOWN entry missing items[0].part.supply.form_factor"}},
		{"an own form factor", "supply: {form_factor: own-shape, width_mm: 125}", nil},
		{"no size", "supply: {form_factor: sfx}", nil},
	})
}
