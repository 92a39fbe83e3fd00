package standards

import "testing"

// JEDEC MO-309 (read) and MO-310, MO-329, MO-337 (from memory, never firm).
func TestMemoryKinds(t *testing.T) {
	for _, tt := range []struct {
		token          string
		length, height float64
		pins           int
		firm           bool
	}{
		{MemoryDDR4UDIMM, 133.35, 31.25, 288, true},
		{MemoryDDR5UDIMM, 133.35, 31.25, 288, false},
		{MemoryDDR4SODIMM, 69.6, 30.0, 260, false},
		{MemoryDDR5SODIMM, 69.6, 30.0, 262, false},
	} {
		m, err := MemoryKindByToken(tt.token)
		if err != nil || m.LengthMM != tt.length || m.HeightMM != tt.height || m.Pins != tt.pins || m.Source.Firm() != tt.firm {
			t.Errorf("%s is %+v, %v", tt.token, m, err)
		}
	}
}

func TestSeatedHeight(t *testing.T) {
	upright, err := MemoryKindByToken(MemoryDDR4UDIMM)
	if err != nil {
		t.Fatal(err)
	}
	if h, err := upright.SeatedHeightMM(); err != nil || h != 34.25 {
		t.Errorf("a bare module stands %v mm high, %v; want 34.25", h, err)
	}
	flat, err := MemoryKindByToken(MemoryDDR5SODIMM)
	if err != nil {
		t.Fatal(err)
	}
	if h, err := flat.SeatedHeightMM(); err == nil {
		t.Errorf("a flat module stands %v mm high", h)
	}
}

func TestMemoryFits(t *testing.T) {
	for _, tt := range []struct {
		module, socket string
		fits           bool
		reason         string
	}{
		{MemoryDDR4UDIMM, MemoryDDR4UDIMM, true, "module and socket are both ddr4-udimm"},
		{MemoryDDR4UDIMM, MemoryDDR5UDIMM, false, "DDR4 UDIMM and DDR5 UDIMM have their keys in different places"},
		{MemoryDDR5SODIMM, MemoryDDR5UDIMM, false, "a DDR5 SODIMM has 262 pins and a DDR5 UDIMM socket 288"},
		{"camm-house", "camm-house", true, "module and socket are both camm-house"},
	} {
		if a, err := MemoryFits(tt.module, tt.socket); err != nil || a.Yes != tt.fits || a.Reason != tt.reason {
			t.Errorf("%s in %s: %+v, %v", tt.module, tt.socket, a, err)
		}
	}
	if _, err := MemoryFits("ddr6", MemoryDDR5UDIMM); err == nil {
		t.Error("an unknown module is compared")
	}
}
