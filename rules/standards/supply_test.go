package standards

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestSupplyForms(t *testing.T) {
	// Envelopes of the supply form factors as secondary drawings and tables give them.
	want := map[string][3]float64{
		SupplyATXPS2: {150, 86, 140}, SupplyATXPS3: {150, 86, 100}, SupplySFX: {125, 63.5, 100}, SupplySFXLowProfile: {125, 50, 100},
		SupplySFXL: {125, 63.5, 130}, SupplyTFX: {85, 65, 175}, SupplyCFX: {150, 86, 95}, SupplyLFX: {62, 72, 210}, SupplyFlexATX: {81.5, 40.5, 150},
	}
	if len(want) != len(SupplyForms()) {
		t.Errorf("%d form factors, want %d", len(SupplyForms()), len(want))
	}
	for token, size := range want {
		s, err := SupplyFormByToken(token)
		if err != nil || [3]float64{s.WidthMM, s.HeightMM, s.DepthMM} != size {
			t.Errorf("%s is %+v, %v; want %v", token, s, err, size)
		}
		for _, h := range s.Holes {
			if h.XMM <= 0 || h.XMM >= s.WidthMM || h.YMM <= 0 || h.YMM >= s.HeightMM {
				t.Errorf("%s has a hole at %v, off its rear", token, h)
			}
		}
		if _, err := ThreadByToken(s.Screw); err != nil {
			t.Errorf("%s: %v", token, err)
		}
	}
}

// The ATX supply drawings name the spans of the rear holes: 138 mm at the top
// and 64 mm on the left.
func TestATXSupplyHoleSpans(t *testing.T) {
	s, err := SupplyFormByToken(SupplyATXPS2)
	if err != nil {
		t.Fatal(err)
	}
	if top, left := s.Holes[1].Distance(s.Holes[2]), s.Holes[0].Distance(s.Holes[1]); top != 138 || left != 64 {
		t.Errorf("spans are %v and %v mm, want 138 and 64", top, left)
	}
}

// Document 613768, revision 2.01, table 3-4: the published test of a
// 1000 W supply. The formulas have to give its base loads and times.
func TestPublishedExcursionExample(t *testing.T) {
	tests := []struct {
		peakW, duty, base float64
		peak, between     time.Duration
		published         float64
	}{
		{2000, 0.05, 917.7, 100 * time.Microsecond, 1900 * time.Microsecond, 918},
		{1800, 0.08, 897.3, time.Millisecond, 11500 * time.Microsecond, 897},
		{1600, 0.125, 881.6, 10 * time.Millisecond, 70 * time.Millisecond, 882},
		{1200, 0.25, 923.8, 100 * time.Millisecond, 300 * time.Millisecond, 924},
	}
	for _, tt := range tests {
		base, err := ExcursionBaseW(1000, tt.peakW, tt.duty)
		if err != nil || !near(base, tt.base, 0.05) || math.Round(base) != tt.published {
			t.Errorf("peak %v W: base load %.2f W, %v; want %v, published %v", tt.peakW, base, err, tt.base, tt.published)
		}
		between, err := ExcursionBaseTime(tt.peak, tt.duty)
		if err != nil || between != tt.between {
			t.Errorf("peak of %v: %v between, %v; want %v", tt.peak, between, err, tt.between)
		}
		row, err := ExcursionFor(1000, true, tt.peak)
		if err != nil || row.Share*1000 != tt.peakW || row.DutyShare != tt.duty {
			t.Errorf("peak of %v: row %+v, %v", tt.peak, row, err)
		}
	}
}

// Document 613768, revision 2.01, table 3-3.
func TestExcursionLimits(t *testing.T) {
	tests := []struct {
		rated     float64
		connector bool
		peak      time.Duration
		limit     float64
	}{
		{450, false, 100 * time.Microsecond, 675},
		{450, true, 100 * time.Microsecond, 675}, // not above 450 W
		{750, true, 100 * time.Microsecond, 1500},
		{750, false, 100 * time.Microsecond, 1125},
		{750, true, 101 * time.Microsecond, 1350},
		{750, true, 100 * time.Millisecond, 900},
		{750, true, time.Second, 750},
	}
	for _, tt := range tests {
		row, err := ExcursionFor(tt.rated, tt.connector, tt.peak)
		if err != nil || !near(row.Share*tt.rated, tt.limit, 1e-9) || !row.Source.Firm() {
			t.Errorf("%v W, connector %v, %v: %v W, %v; want %v", tt.rated, tt.connector, tt.peak, row.Share*tt.rated, err, tt.limit)
		}
	}
	if row, err := ExcursionFor(450, false, 100*time.Microsecond); err != nil || 700 <= row.Share*450 {
		t.Errorf("700 W for 100 us pass on 450 W: %+v, %v", row, err)
	}
}

func TestExcursionsRefuse(t *testing.T) {
	if _, err := ExcursionBaseW(1000, 5000, 0.5); err == nil || err.Error() != "peaks of 5000 W over 0.5 of the time exceed 1000 W root mean square on their own; lower the peak or its share" {
		t.Errorf("too high a peak gives %v", err)
	}
	for _, bad := range []time.Duration{0, -1} {
		if _, err := ExcursionFor(500, true, bad); err == nil {
			t.Errorf("a peak of %v is taken", bad)
		}
		if _, err := ExcursionBaseTime(bad, 0.5); err == nil {
			t.Errorf("a peak of %v is taken", bad)
		}
	}
}

// A longer peak is never allowed more, and the base load with its peaks has the
// rated root mean square.
func TestExcursionProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rated := rapid.Float64Range(100, 2000).Draw(t, "rated")
		connector := rapid.Bool().Draw(t, "connector")
		a := time.Duration(rapid.Int64Range(1, int64(time.Second)).Draw(t, "a"))
		b := time.Duration(rapid.Int64Range(int64(a), int64(2*time.Second)).Draw(t, "b"))
		short, errA := ExcursionFor(rated, connector, a)
		long, errB := ExcursionFor(rated, connector, b)
		if errA != nil || errB != nil || long.Share > short.Share {
			t.Fatalf("%v allows %v, %v allows %v (%v, %v)", a, short.Share, b, long.Share, errA, errB)
		}
		duty := rapid.Float64Range(0, 0.2).Draw(t, "duty")
		peak := rated * rapid.Float64Range(1, 2).Draw(t, "peak")
		base, err := ExcursionBaseW(rated, peak, duty)
		if err != nil {
			t.Fatal(err)
		}
		if rms := math.Sqrt(duty*peak*peak + (1-duty)*base*base); !near(rms, rated, 1e-6*rated) {
			t.Fatalf("root mean square is %v, want %v", rms, rated)
		}
	})
}

// Document 336521, table 2-1 and section 3.1: amperes times 11.20 V.
func TestProcessorBudget(t *testing.T) {
	for _, tt := range []struct{ tdp, want, peak float64 }{{125, 291.2, 39}, {65, 257.6, 34}, {66, 291.2, 39}, {165, 420, 40}, {0, 123.2, 19}} {
		p, err := ProcessorCurrentFor(tt.tdp)
		if err != nil || !near(p.BudgetW(), tt.want, 1e-9) || p.PeakA != tt.peak {
			t.Errorf("%v W: %v W, peak %v A, %v; want %v, %v", tt.tdp, p.BudgetW(), p.PeakA, err, tt.want, tt.peak)
		}
	}
	want := "the processor current table does not reach: the processor's thermal design power is 170 W, which is out of range; give a number from 0 to 165 W, or the processor's own continuous current"
	if _, err := ProcessorCurrentFor(170); err == nil || err.Error() != want {
		t.Errorf("error is %v\nwant     %s", err, want)
	}
}

// The four low limits of +12 V that documents give: ATX 3.x table 4-2, its
// arithmetic, the older guides, and the card's side in table 3-5.
func TestTwelveVoltLowLimits(t *testing.T) {
	for guide, want := range map[string]float64{GuideATX3: 11.20, GuideATX12V2: 11.40, GuideCard: 11.04} {
		if r, err := RailLimitFor(guide, Rail12V); err != nil || r.LowV != want || r.HighV != 12.60 {
			t.Errorf("%s: %+v, %v; want %v", guide, r, err, want)
		}
	}
	if !near(Rail12VArithmetic.Value, 12*0.93, 1e-9) {
		t.Errorf("arithmetic limit is %v", Rail12VArithmetic.Value)
	}
	if _, err := RailLimitFor(GuideCard, Rail5V); err == nil {
		t.Error("a card has a +5 V limit")
	}
	for _, r := range RailLimits() {
		if r.LowV >= r.NominalV || r.NominalV >= r.HighV {
			t.Errorf("limits are out of order: %+v", r)
		}
	}
}

// Document 336521, table 2-1, note 1.
func TestEnergyHazard(t *testing.T) {
	if got := 20 * 12.0; got != EnergyHazard.Value {
		t.Errorf("20 A at 12 V are %v VA, the boundary is %v", got, EnergyHazard.Value)
	}
	if got := EnergyHazardCurrent.Value * 12; got != 216 || got >= EnergyHazard.Value {
		t.Errorf("18 A at 12 V are %v W, want 216 below the boundary", got)
	}
}

func TestACRanges(t *testing.T) {
	for _, volts := range []float64{90, 115, 135, 180, 230, 265} {
		if _, err := ACRangeFor(volts); err != nil {
			t.Errorf("%v V: %v", volts, err)
		}
	}
	for _, volts := range []float64{0, 89.9, 150, 266, math.NaN(), math.Inf(1)} {
		if _, err := ACRangeFor(volts); err == nil {
			t.Errorf("%v V is accepted", volts)
		}
	}
}

// ATX 3.0 asks for 16 ms at full load, ATX 3.1 for 11 ms and recommends 16 ms
// at 80 percent: tables 4-9 and 4-10 of the two revisions.
func TestHoldUps(t *testing.T) {
	for _, h := range HoldUps() {
		want := 16 * time.Millisecond
		if h.Guide == "atx-3.1" && h.Required {
			want = 11 * time.Millisecond
		}
		if h.PowerOK != want || h.Warning != time.Millisecond {
			t.Errorf("%+v, want %v", h, want)
		}
	}
}
