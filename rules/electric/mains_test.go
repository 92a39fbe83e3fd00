package electric

import (
	"math"
	"testing"
)

// NFPA 70 articles 210.19 and 210.20: a 15 A breaker carries 12 A for hours on
// end, a 20 A breaker 16 A.
func TestBranchCircuit(t *testing.T) {
	for _, c := range []struct {
		breaker, amps float64
		passes        bool
	}{{15, 12.0, true}, {15, 12.1, false}, {20, 16, true}, {20, 16.1, false}, {15, 11.99, true}, {15, 12.63, false}} {
		b := BranchCircuit{Name: "office", BreakerA: c.breaker, ContinuousShare: 0.8}
		got, err := b.Check(Exactly(c.amps), true)
		if err != nil {
			t.Fatal(err)
		}
		if (got.MarginA.Nominal >= 0) != c.passes || !within(got.MarginA.Nominal, 0.8*c.breaker-c.amps, 1e-9, 1e-12) {
			t.Errorf("%g A on a %g A breaker: margin %g A, passes: %t", c.amps, c.breaker, got.MarginA.Nominal, c.passes)
		}
		if short, err := b.Check(Exactly(c.amps), false); err != nil || short.LimitA != Exactly(c.breaker) {
			t.Errorf("for a short load the limit is %+v A (%v), want the breaker's %g A", short.LimitA, err, c.breaker)
		}
	}
	shared := BranchCircuit{Name: "office", BreakerA: 20, ContinuousShare: 0.8, OtherContinuousA: Exactly(4), OtherA: Exactly(5)}
	got, err := shared.Check(Exactly(8), true)
	// 125 % of 8 + 4 A continuous, and 5 A: exactly the 20 A of the breaker
	if err != nil || !within(1+got.MarginA.Nominal, 1, 1e-12, 0) {
		t.Errorf("shared circuit: %+v, %v, want no margin", got, err)
	}
}

// What else hangs on the circuit takes its part of a short load's limit: 20 A
// less 5 A less 125 % of 4 A.
func TestShortLoadOnSharedCircuit(t *testing.T) {
	b := BranchCircuit{Name: "office", BreakerA: 20, ContinuousShare: 0.8, OtherContinuousA: Exactly(4), OtherA: Exactly(5)}
	got, err := b.Check(Exactly(7), false)
	if err != nil || !within(got.LimitA.Nominal, 10, 1e-12, 0) || !within(got.Share.Nominal, 0.35, 1e-12, 0) {
		t.Errorf("%+v (%v), want a limit of 10 A and a share of 0.35", got, err)
	}
}

// IEC 60320 C13: 10 A internationally, 15 A under North American listing; C19
// 16 and 20 A.
func TestInlets(t *testing.T) {
	for rated, passes := range map[float64]bool{10: false, 15: true, 16: true, 20: true} {
		m, err := Inlet{"inlet", rated}.MarginA(Exactly(12.63))
		if err != nil || (m.Low >= 0) != passes {
			t.Errorf("12.63 A through an inlet of %g A: margin %+v (%v), passes: %t", rated, m, err, passes)
		}
	}
}

// 600 VA at a factor of 0.6 are 360 W: 400 W at a power factor of 0.98 pass its
// volt-amperes (408) and miss its watts by 40.
func TestUPSHasTwoLimits(t *testing.T) {
	u := UPS{Name: "closet", VA: 600, OutputFactor: 0.6}
	got, err := u.Check(Exactly(400), Exactly(0.98))
	if err != nil {
		t.Fatal(err)
	}
	if got.WattsLimit != 360 || got.MarginW.Nominal != -40 || !within(600-got.MarginVA.Nominal, 408, 1e-3, 0) || got.Minutes != (Range{}) {
		t.Errorf("got %+v", got)
	}
	u.BatteryWh, u.Efficiency = Range{80, 90, 100}, Exactly(0.9)
	if got, err = u.Check(Exactly(180), Exactly(0.98)); err != nil || !within(got.Minutes.Nominal, 27, 1e-12, 0) || !within(got.Minutes.Low, 24, 1e-12, 0) {
		t.Errorf("90 Wh at 90 %% under 180 W: %+v minutes (%v), want 27 of 24 to 30", got.Minutes, err)
	}
	va, err := SizeUPS(Exactly(360), Exactly(0.98), 0.6, 0.2)
	if err != nil || !within(va.Nominal, 750, 1e-12, 0) {
		t.Errorf("360 W at a factor of 0.6 with a fifth free: %g VA (%v), want 750 VA", va.Nominal, err)
	}
	va, err = SizeUPS(Exactly(360), Exactly(0.6), 0.9, 0)
	if err != nil || !within(va.Nominal, 600, 1e-12, 0) {
		t.Errorf("360 W at a power factor of 0.6: %g VA (%v), want 600 VA", va.Nominal, err)
	}
}

func TestBadMainsAreRefused(t *testing.T) {
	_, inlet := Inlet{Name: "rear"}.MarginA(Exactly(5))
	_, breaker := BranchCircuit{Name: "office", ContinuousShare: 0.8}.Check(Exactly(5), true)
	_, share := BranchCircuit{Name: "office", BreakerA: 15}.Check(Exactly(5), true)
	_, amps := BranchCircuit{Name: "office", BreakerA: 15, ContinuousShare: 0.8}.Check(Exactly(math.Inf(1)), true)
	_, ups := UPS{Name: "closet", VA: 600}.Check(Exactly(100), Exactly(1))
	_, factor := UPS{Name: "closet", VA: 600, OutputFactor: 0.6}.Check(Exactly(100), Exactly(0))
	_, volts := Draw{MainsVA: Exactly(100)}.Amps(Exactly(0))
	for _, c := range []struct {
		err  error
		want string
	}{
		{inlet, `inlet "rear" is rated 0 A: give its rating for the country of use`},
		{breaker, `branch circuit "office" has a breaker of 0 A: give the amperes on its breaker`},
		{share, `branch circuit "office" allows 0 of its breaker to continuous loads: give a share above 0 up to 1`},
		{amps, `branch circuit "office" is wrong: a current in A is not a finite number: give a plain figure`},
		{ups, `UPS "closet" has 600 VA at an output factor of 0: give its VA and a factor above 0 up to 1`},
		{factor, `UPS "closet" cannot be checked: the power factor is 0, not above zero: give a figure above zero`},
		{volts, `mains voltage is 0, not above zero: give a figure above zero`},
	} {
		if c.err == nil || c.err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", c.err, c.want)
		}
	}
}
