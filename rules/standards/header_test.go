package standards

import (
	"slices"
	"testing"
)

// Two ports of 500 mA at 5 V.
func TestUSB2HeaderBudget(t *testing.T) {
	port := USBPowers()[0]
	h, err := HeaderByToken(HeaderUSB2)
	if err != nil {
		t.Fatal(err)
	}
	ampere := float64(h.Ports) * port.Ampere
	if ampere != USB2HeaderAmpere.Value || ampere != 1.0 || ampere*port.Volt != 5 {
		t.Errorf("a two-port header brings %v A, %v W", ampere, ampere*port.Volt)
	}
}

func TestUSBPowersAreProducts(t *testing.T) {
	for _, p := range USBPowers() {
		if p.Ampere > 0 && p.Volt*p.Ampere != p.Watt {
			t.Errorf("%s: %v V times %v A is not %v W", p.Port, p.Volt, p.Ampere, p.Watt)
		}
	}
}

func TestUSBRatesAscend(t *testing.T) {
	last := 0.0
	for _, r := range USBRates() {
		if r.GigabitsPerS <= last || r.Source.Firm() {
			t.Errorf("row %+v after %v", r, last)
		}
		last = r.GigabitsPerS
	}
	if r, err := USBRateByToken("usb-10gbps"); err != nil || r.GigabitsPerS != 10 {
		t.Errorf("usb-10gbps is %+v, %v", r, err)
	}
}

// Board technical product specification: keys at pin 9 and pin 8.
func TestSwappedFrontPlugs(t *testing.T) {
	for _, tt := range []struct {
		plug, header string
		mates, firm  bool
		reason       string
	}{
		{HeaderUSB2, HeaderHDAudio, false, true, "a plug for the 2x5 USB 2.0 header is keyed at pin 9, the 2x5 front audio header at pin 8"},
		{HeaderHDAudio, HeaderUSB2, false, true, "a plug for the 2x5 front audio header is keyed at pin 8, the 2x5 USB 2.0 header at pin 9"},
		{HeaderUSB3, HeaderUSB2, false, false, "a plug for the 19-pin USB 3 header has another shape than the 2x5 USB 2.0 header"},
		{HeaderUSB2, HeaderUSB2, true, true, "plug and header are both usb2-header"},
		{"house-header", "house-header", true, false, "plug and header are both house-header"},
	} {
		a, err := HeaderMates(tt.plug, tt.header)
		if err != nil || a.Yes != tt.mates || a.Source.Firm() != tt.firm || a.Reason != tt.reason {
			t.Errorf("%s on %s: %+v, %v", tt.plug, tt.header, a, err)
		}
	}
}

// The pin tables and the key positions are one story.
func TestHeaderSignals(t *testing.T) {
	for _, h := range Headers() {
		if len(h.Signals) == 0 {
			continue
		}
		if len(h.Signals) != h.Positions || slices.Index(h.Signals, "key") != h.KeyPin-1 {
			t.Errorf("%s has %d signals, key %d: %v", h.Name, len(h.Signals), h.KeyPin, h.Signals)
		}
	}
}

// 6 Gb/s, 8 bits of 10, 8 bits a byte.
func TestSATARate(t *testing.T) {
	if got := SATAMegabytesPerS(); !near(got, 600, 1e-9) {
		t.Errorf("SATA carries %v MB/s, want 600", got)
	}
}

// Four ports on one USB 3 header, from memory, so that it never fails a
// build on its own.
func TestHeaderPorts(t *testing.T) {
	a, err := HeaderPorts(HeaderUSB3, 1, 4)
	if err != nil || a.Yes || a.Source.Firm() || a.Reason != "1 times 19-pin USB 3 header feeds 2 ports and 4 are wanted" {
		t.Errorf("answer is %+v, %v", a, err)
	}
	if a, err := HeaderPorts(HeaderUSB3, 2, 4); err != nil || !a.Yes {
		t.Errorf("answer is %+v, %v", a, err)
	}
	for _, bad := range []struct {
		header         string
		headers, ports int
	}{{HeaderHDAudio, 1, 1}, {HeaderUSB3, -1, 1}, {HeaderUSB3, 1, -1}, {"usb9", 1, 1}} {
		if a, err := HeaderPorts(bad.header, bad.headers, bad.ports); err == nil {
			t.Errorf("%+v gives %+v", bad, a)
		}
	}
}
