package electric

import (
	"strings"
	"testing"
)

// archivePolicy keeps a fifth free and calls 40 to 60 % of the rating the
// efficiency plateau: common practice, no source.
var archivePolicy = SizingPolicy{
	ReserveShare: 0.2, PlateauLow: 0.4, PlateauHigh: 0.6, IntakeC: Exactly(35),
	SizesW: []float64{1200, 450, 650, 750, 850, 1000},
}

// A 1000 W small supply feeds a processor of sixteen cores (230 W sustained)
// and a card of 360 W with reserve: common practice, no source.
func TestThousandWattsSuffice(t *testing.T) {
	w := mustCompile(t, newDesktop(smallPlan()).net).NewWorkspace()
	mustSolve(t, w)
	sustained := w.DeliveredWatts()
	d := Demand{TypicalW: Exactly(350), SustainedW: Exactly(sustained),
		Peaks: []Peak{{Exactly(sustained + 360), 100e-6, 0.05}, {Exactly(sustained + 220), 10e-3, 0.1}}}
	if sustained < 630 || sustained > 720 {
		t.Fatalf("the desktop draws %.0f W, out of what it was made for", sustained)
	}
	got, err := gold(1000).Size(d, archivePolicy)
	if err != nil {
		t.Fatal(err)
	}
	if got.LeastW > 1000 || got.LeastW < 750 || got.Needs[0].Reason != ReasonReserve || !within(got.LeastW, sustained/0.8, 1e-12, 0) {
		t.Errorf("least %.0f W for %s, want the reserve over %.0f W", got.LeastW, got.Needs[0].Reason, sustained)
	}
	if got.SizeW != 1000 || !within(got.SustainedShare.Nominal, sustained/1000, 1e-12, 0) {
		t.Errorf("size %g W at a share of %g, want 1000 W", got.SizeW, got.SustainedShare.Nominal)
	}
	if !within(got.PlateauW.Low, 350/0.6, 1e-12, 0) || !within(got.PlateauW.High, 875, 1e-12, 0) || !within(got.QuietFromW, 875, 1e-12, 0) {
		t.Errorf("plateau %+v W, quiet from %g W", got.PlateauW, got.QuietFromW)
	}
}

// Cables of usual lengths in small cases, 400 mm to the processor and 300 mm
// elsewhere, lose well under 1 % of the power and of the 12 V when everything
// runs at its sustained draw: common practice, no source.
func TestSmallCasesLoseLittle(t *testing.T) {
	d := newDesktop(smallPlan())
	w := mustCompile(t, d.net).NewWorkspace()
	mustSolve(t, w)
	if share := w.LossWatts() / w.DeliveredWatts(); share > 0.01 {
		t.Errorf("cables and contacts lose %.2f %% of the power", 100*share)
	}
	for _, h := range []HarnessElements{d.processorPlus, d.processorMinus, d.cardPlus, d.cardMinus} {
		for _, wire := range h.Wires {
			if drop := w.Across(wire); drop > 0.01*12*0.6 {
				t.Errorf("%s drops %.3f V, not well under 1 %% of 12 V", w.c.Name(wire), drop)
			}
		}
	}
	if over := w.AppendOverloads(nil); len(over) != 0 {
		t.Errorf("rails over their limits: %v", over)
	}
}

// A card at its peak while all else is sustained overloads the 12 V rail.
func TestPeakPassesTheRailLimit(t *testing.T) {
	d := newDesktop(smallPlan())
	w := mustCompile(t, d.net).NewWorkspace()
	if err := w.Run(d.card, Excursion); err != nil {
		t.Fatal(err)
	}
	mustSolve(t, w)
	if got := w.AppendOverloads(nil); len(got) != 1 || got[0] != d.twelve || w.Amps(d.twelve) < 83 {
		t.Errorf("overloads %v, the 12 V rail gives %.1f A of 83 A", got, w.Amps(d.twelve))
	}
	w.Assume(Idle, Nominal)
	mustSolve(t, w)
	if got := w.Watts(d.card); !within(got, 15, 1e-9, 0) {
		t.Errorf("idle the card takes %g W, want 15 W", got)
	}
}

// A second supply of higher voltage feeds the first backwards, and that shows.
func TestBackfeedShows(t *testing.T) {
	n := NewNetwork(copper)
	a, b := n.Node("first 12 V"), n.Node("second 12 V")
	first := n.AddRail(Rail{Name: "first", Plus: a, Minus: Return, Volts: Exactly(12)})
	n.AddRail(Rail{Name: "second", Plus: b, Minus: Return, Volts: Exactly(12.2)})
	n.AddConductor(Conductor{"bridge", a, b, metre(18)})
	n.AddLoad(watts("card", a, Return, 12))
	w := mustCompile(t, n).NewWorkspace()
	mustSolve(t, w)
	// 0.2 V over 21 mohm push 9.5 A, of which the card takes 1 A
	if got := w.AppendOverloads(nil); len(got) != 1 || got[0] != first || w.Amps(first) > -8 {
		t.Errorf("overloads %v, first rail %.2f A", got, w.Amps(first))
	}
}

// Slot, 2x3 and 2x4 give a card 75, 75 and 150 W (card guide, table 3-5): a
// card of 320 W overloads them however evenly it spreads its draw, one of
// 299 W does not.
func TestCardPlugsHaveTheirShare(t *testing.T) {
	for card, overloads := range map[float64]int{320: 3, 299: 0} {
		n := NewNetwork(copper)
		for name, most := range map[string]float64{"slot": 75, "2x3": 75, "2x4": 150} {
			feed := n.Node(name)
			n.AddRail(Rail{Name: name, Plus: feed, Minus: Return, Volts: Exactly(12), LimitA: most / 12})
			n.AddLoad(watts("card at its "+name, feed, Return, card*most/300))
		}
		w := mustCompile(t, n).NewWorkspace()
		mustSolve(t, w)
		if got := w.AppendOverloads(nil); len(got) != overloads {
			t.Errorf("%g W overload %d feeds, want %d", card, len(got), overloads)
		}
	}
}

// 8 h a day at 555.6 W from the mains and 2 W in the other 112 h of a week:
// (56 x 555.6 + 112 x 2) x 52.18 / 1000 = 1635 kWh; at 0.30 a kWh, 490.
func TestCostOfAYear(t *testing.T) {
	p := Profile{Uses: []Use{{"editing", Exactly(56), Exactly(500)}}, OffW: Exactly(2)}
	kWh, err := gold(1000).KWhPerYear(p)
	if err != nil || !within(kWh.Nominal, 1635, 1e-3, 0) || !within(kWh.Low, kWh.High, 1e-12, 0) {
		t.Errorf("%+v kWh (%v), want 1635", kWh, err)
	}
	cost, err := gold(1000).CostPerYear(p, Range{0.25, 0.30, 0.40})
	if err != nil || !within(cost.Nominal, 490.5, 1e-3, 0) || !within(cost.High, 654, 1e-3, 0) {
		t.Errorf("%+v (%v), want 490.5 up to 654", cost, err)
	}
	p.Uses = append(p.Uses, Use{"rendering", Exactly(120), Exactly(600)})
	_, err = gold(1000).KWhPerYear(p)
	if want := `supply "gold" is used up to 176 hours a week: give uses of 168 hours at most`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// More hours cost less only when the computer takes less on than off; the ends
// of the energy keep to that.
func TestEnergyEndsPairHours(t *testing.T) {
	p := Profile{Uses: []Use{{"listening", Range{10, 20, 40}, Range{80, 100, 150}}}, OffW: Range{1, 2, 5}}
	s := gold(450)
	kWh, err := s.KWhPerYear(p)
	if err != nil {
		t.Fatal(err)
	}
	draw, err := s.Draw(Range{80, 100, 150})
	if err != nil {
		t.Fatal(err)
	}
	low := (10*draw.MainsW.Low + 158*1) * weeksPerYear / 1000
	high := (40*draw.MainsW.High + 128*5) * weeksPerYear / 1000
	if !within(kWh.Low, low, 1e-12, 0) || !within(kWh.High, high, 1e-12, 0) || kWh.Check("") != nil {
		t.Errorf("%+v kWh, want %g to %g", kWh, low, high)
	}
}

func TestSizingReasons(t *testing.T) {
	d := Demand{TypicalW: Exactly(200), SustainedW: Exactly(400), Peaks: []Peak{{Exactly(1300), 100e-6, 0.05}}}
	got, err := gold(1000).Size(d, archivePolicy)
	if err != nil {
		t.Fatal(err)
	}
	if got.Needs[0].Reason != ReasonPeak || got.Needs[0].RatedW != 650 || got.SizeW != 650 {
		t.Errorf("1300 W for 100 us at 200 %%: %+v, want 650 W for the peak's height", got)
	}
	d.Peaks[0] = Peak{Exactly(1000), 10e-3, 0.5}
	if got, err = gold(1000).Size(d, archivePolicy); err != nil || got.Needs[0].Reason != ReasonPeakOnRMS {
		t.Errorf("1000 W half of the time: %+v (%v), want the root mean square to decide", got, err)
	}
	hot := archivePolicy
	hot.IntakeC = Exactly(50)
	if got, err = gold(1000).Size(Demand{TypicalW: Exactly(200), SustainedW: Exactly(400)}, hot); err != nil || !within(got.LeastW, 400/0.8/0.8, 1e-12, 0) {
		t.Errorf("at 50 C: %+v (%v), want 625 W", got, err)
	}
	unknown := gold(1000)
	unknown.QuietShare = 0
	if got, err = unknown.Size(d, archivePolicy); err != nil || got.QuietFromW != 0 {
		t.Errorf("without a quiet share: quiet from %g W (%v), want no advice", got.QuietFromW, err)
	}
	none := archivePolicy
	none.SizesW = []float64{300}
	if got, err = gold(1000).Size(d, none); err != nil || got.SizeW != 0 {
		t.Errorf("with nothing large enough on offer: %+v (%v), want no size", got, err)
	}
	_, err = gold(1000).Size(Demand{TypicalW: Exactly(200)}, archivePolicy)
	if err == nil || !strings.Contains(err.Error(), "the sustained demand in W is 0, not above zero") {
		t.Errorf("without a demand: %v", err)
	}
}
