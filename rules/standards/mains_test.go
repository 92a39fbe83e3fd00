package standards

import (
	"testing"

	"pgregory.net/rapid"
)

// NFPA 70, 210.20(A): 12 A continuous on a 15 A breaker, 16 A on 20 A.
func TestContinuousLimit(t *testing.T) {
	for _, tt := range []struct {
		breaker, other float64
		full           bool
		want           float64
	}{{15, 0, false, 12}, {20, 0, false, 16}, {20, 5, false, 12}, {15, 0, true, 15}} {
		got, err := ContinuousLimitA(tt.breaker, tt.other, tt.full)
		if err != nil || !near(got, tt.want, 1e-9) {
			t.Errorf("%+v: %v A, %v", tt, got, err)
		}
	}
	limit, err := ContinuousLimitA(15, 0, false)
	if err != nil || 12.0 > limit || 12.1 <= limit {
		t.Errorf("limit %v has to hold 12.0 A and not 12.1 A, %v", limit, err)
	}
	if limit*120 != 1440 {
		t.Errorf("12 A at 120 V are %v W, want 1440", limit*120)
	}
}

// 1200 W at a Gold mark's full load on 115 V and a 15 A circuit.
func TestGoldSupplyOnFifteenAmpere(t *testing.T) {
	mark, err := EfficiencyAt("gold", 115, 1)
	if err != nil || mark.Share != 0.87 {
		t.Fatalf("mark is %+v, %v", mark, err)
	}
	limit, err := ContinuousLimitA(15, 0, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		factor, ampere float64
		holds          bool
	}{{1.00, 11.99, true}, {0.95, 12.63, false}} {
		load, err := ACLoadOf(1200, mark.Share, 115, tt.factor)
		if err != nil || !near(load.Watt, 1379.3, 0.05) || !near(load.Ampere, tt.ampere, 0.005) || (load.Ampere <= limit) != tt.holds {
			t.Errorf("factor %v: %+v, %v; want %v A", tt.factor, load, err, tt.ampere)
		}
	}
}

// IEC 60320-1 and the North American listing of C13.
func TestCouplers(t *testing.T) {
	load, err := ACLoadOf(1200, 0.87, 115, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	c, err := CouplerByToken("c13")
	if err != nil || load.Ampere <= c.LimitA(false) || load.Ampere > c.LimitA(true) {
		t.Errorf("%v A through %+v, %v", load.Ampere, c, err)
	}
	for _, row := range Couplers() {
		mate, err := CouplerByToken(row.Mate)
		if err != nil || mate.Mate != row.Token || mate.Inlet == row.Inlet || mate.InternationalA != row.InternationalA {
			t.Errorf("%s mates with %+v, %v", row.Token, mate, err)
		}
	}
	if c, err := CouplerByToken("c20"); err != nil || c.LimitA(false) != 16 || c.LimitA(true) != 20 {
		t.Errorf("c20 is %+v, %v", c, err)
	}
}

// Both ratings of an uninterruptible supply bound the load.
func TestCheckUPS(t *testing.T) {
	u, err := CheckUPS(600, UPSPowerFactor.Value, 400, 0.98)
	if err != nil || u.LimitW != 360 || u.WattOK || !u.VAOK || u.OK() || !near(u.LoadVA, 408, 0.2) {
		t.Errorf("check is %+v, %v", u, err)
	}
	if u, err := CheckUPS(600, 0.9, 500, 0.8); err != nil || !u.WattOK || u.VAOK || u.OK() {
		t.Errorf("check is %+v, %v; want volt-amperes missed", u, err)
	}
	if u, err := CheckUPS(600, 0.9, 400, 0.98); err != nil || !u.OK() {
		t.Errorf("check is %+v, %v; want both held", u, err)
	}
}

// By arithmetic.
func TestSupplyHeat(t *testing.T) {
	load, err := ACLoadOf(500, 0.90, 230, 1)
	if err != nil || !near(load.Watt, 555.6, 0.05) || !near(load.HeatW, 55.6, 0.05) {
		t.Errorf("load is %+v, %v; want 555.6 W, 55.6 W of heat", load, err)
	}
}

// Energy is kept and the current falls with better efficiency and factor.
func TestACLoadProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dc := rapid.Float64Range(1, 3000).Draw(t, "dc")
		efficiency := rapid.Float64Range(0.5, 0.99).Draw(t, "efficiency")
		volts := rapid.Float64Range(90, 265).Draw(t, "volts")
		factor := rapid.Float64Range(0.5, 0.99).Draw(t, "factor")
		load, err := ACLoadOf(dc, efficiency, volts, factor)
		if err != nil {
			t.Fatal(err)
		}
		if !near(load.Watt-load.HeatW, dc, 1e-9*dc+1e-9) || load.VA < load.Watt {
			t.Fatalf("energy is lost: %+v", load)
		}
		better, err := ACLoadOf(dc, efficiency+0.01, volts, factor+0.01)
		if err != nil || better.Ampere >= load.Ampere {
			t.Fatalf("a better supply draws %v A, not less than %v (%v)", better.Ampere, load.Ampere, err)
		}
	})
}
