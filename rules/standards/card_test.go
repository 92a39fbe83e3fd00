package standards

import (
	"testing"

	"pgregory.net/rapid"
)

// The rates that PCI Express tables print, in GB/s.
func TestLinkRates(t *testing.T) {
	for _, tt := range []struct {
		link Link
		want float64
	}{
		{Link{1, 1}, 0.250}, {Link{1, 16}, 4.000}, {Link{2, 4}, 2.000}, {Link{3, 1}, 0.985}, {Link{3, 4}, 3.938}, {Link{3, 16}, 15.754},
		{Link{4, 1}, 1.969}, {Link{4, 4}, 7.877}, {Link{4, 16}, 31.508}, {Link{5, 16}, 63.015}, {Link{6, 1}, 7.563}, {Link{6, 4}, 30.250}, {Link{6, 16}, 121.000},
	} {
		if got, err := tt.link.GigabytesPerS(); err != nil || !near(got, tt.want, 0.0006) {
			t.Errorf("%v carries %v GB/s, %v; want %v", tt.link, got, err, tt.want)
		}
	}
	if got, err := (Link{3, 1}).GigabytesPerS(); err != nil || !near(got, 0.9846, 0.00005) {
		t.Errorf("Gen 3 x1 carries %v GB/s, %v; want 8 x 128/130 / 8 = 0.9846", got, err)
	}
}

// The link takes the smaller of each.
func TestNegotiate(t *testing.T) {
	link, err := Negotiate(Link{4, 4}, Link{3, 16})
	if err != nil || link != (Link{3, 4}) || link.String() != "Gen 3 x4" {
		t.Fatalf("link is %v, %v; want Gen 3 x4", link, err)
	}
	if rate, err := link.GigabytesPerS(); err != nil || !near(rate, 3.938, 0.0005) {
		t.Errorf("it carries %v GB/s, %v; want 3.938", rate, err)
	}
	want := "the link cannot be worked out: PCI Express has no link of 3 lanes; give 1, 2, 4, 8, 12, 16 or 32"
	if _, err := Negotiate(Link{3, 3}, Link{3, 16}); err == nil || err.Error() != want {
		t.Errorf("error is %v, want %s", err, want)
	}
	for _, bad := range []Link{{0, 1}, {7, 1}, {-1, 16}} {
		if _, err := bad.GigabytesPerS(); err == nil {
			t.Errorf("%v has a rate", bad)
		}
	}
}

// A rate grows with generation and width, and a link is no faster than its ends.
func TestLinkProperties(t *testing.T) {
	end := rapid.Custom(func(t *rapid.T) Link {
		return Link{rapid.IntRange(1, 6).Draw(t, "generation"), rapid.SampledFrom([]int{1, 2, 4, 8, 12, 16, 32}).Draw(t, "lanes")}
	})
	rate := func(t *rapid.T, l Link) float64 {
		r, err := l.GigabytesPerS()
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := end.Draw(t, "a"), end.Draw(t, "b")
		ab, errA := Negotiate(a, b)
		ba, errB := Negotiate(b, a)
		if errA != nil || errB != nil || ab != ba {
			t.Fatalf("%v and %v give %v and %v", a, b, ab, ba)
		}
		if rate(t, ab) > min(rate(t, a), rate(t, b)) {
			t.Fatalf("%v between %v and %v is faster than an end", ab, a, b)
		}
		if a.Generation < 6 && rate(t, a) >= rate(t, Link{a.Generation + 1, a.Lanes}) {
			t.Fatalf("%v is no slower than the next generation", a)
		}
	})
}

// Slot, one 2x3 and one 2x4 give 300 W, less than a demand of 320 W.
func TestCardBudget(t *testing.T) {
	b, err := CardBudgetFor(ConnectorPCIe6, ConnectorPCIe8)
	if err != nil || b.Watt != 300 || b.Watt >= 320 || !b.Source.Firm() {
		t.Errorf("budget is %+v, %v; want a firm 300 W", b, err)
	}
	if b, err := CardBudgetFor(Connector12VHPWR); err != nil || b.Watt != 600 {
		t.Errorf("budget is %+v, %v; want the cap of 600 W", b, err)
	}
	for _, token := range []string{ConnectorSATA, "pcie-7"} {
		if _, err := CardBudgetFor(token); err == nil {
			t.Errorf("a card is fed by %s", token)
		}
	}
}

// The card classes that the specification names are the sums of its parts.
func TestCardClassesAreSums(t *testing.T) {
	for _, c := range CardClasses() {
		if b, err := CardBudgetFor(c.Aux...); err != nil || b.Watt != c.Watt {
			t.Errorf("class %v is %v W and sums to %+v, %v", c.Aux, c.Watt, b, err)
		}
	}
	if split := SlotAmpere12V.Value*12 + SlotAmpere3V3.Value*3.3; split < slotPowers[0].Watt {
		t.Errorf("the slot's rails carry %v W, less than its %v W", split, slotPowers[0].Watt)
	}
}

// ATX family board drawings: three slots want 60.96 mm, two give 40.64.
func TestCardWidths(t *testing.T) {
	three, err := CardWidthBySlots(3)
	if err != nil || three.OpeningMM != 60.96 || !three.Source.Firm() || three.ComponentSource.Firm() {
		t.Errorf("three slots: %+v, %v", three, err)
	}
	two, err := CardWidthBySlots(2)
	if err != nil || two.OpeningMM != 40.64 || three.OpeningMM <= two.OpeningMM {
		t.Errorf("two slots: %+v, %v", two, err)
	}
	for i, w := range CardWidths() {
		if !near(w.OpeningMM, float64(i+1)*SlotPitch.Value, 1e-9) || !near(w.ComponentMM, 14.47+float64(i)*SlotPitch.Value, 1e-9) {
			t.Errorf("row %+v is no multiple of the pitch", w)
		}
	}
	for _, n := range []int{0, 5, -1} {
		if _, err := CardWidthBySlots(n); err == nil {
			t.Errorf("a card takes %d slots", n)
		}
	}
}
