package standards

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// ASTM B258 against a published wire table.
func TestWireEighteen(t *testing.T) {
	d, errD := WireDiameterMM(18)
	a, errA := WireAreaMM2(18)
	r, errR := WireOhmPerM(18, 20)
	if errD != nil || errA != nil || errR != nil {
		t.Fatal(errD, errA, errR)
	}
	if !near(d, 1.024, 1.024*0.005) || !near(a, 0.823, 0.823*0.005) || !near(r, 20.95e-3, 20.95e-3*0.005) {
		t.Errorf("18 AWG is %v mm, %v mm2, %v ohm/m", d, a, r)
	}
}

// Diameter, area and resistance of the published wire table's other rows.
func TestWireTable(t *testing.T) {
	for awg, want := range map[int][3]float64{
		14: {1.628, 2.081, 8.29}, 16: {1.291, 1.309, 13.17}, 20: {0.812, 0.518, 33.31}, 22: {0.644, 0.326, 52.96},
		24: {0.511, 0.205, 84.21}, 26: {0.405, 0.129, 133.9}, 28: {0.321, 0.0810, 212.9},
	} {
		d, _ := WireDiameterMM(awg)
		a, _ := WireAreaMM2(awg)
		r, err := WireOhmPerM(awg, 20)
		for i, got := range [3]float64{d, a, 1000 * r} {
			if err != nil || !near(got, want[i], want[i]*0.005) {
				t.Errorf("%d AWG: %v, want %v (%v)", awg, got, want[i], err)
			}
		}
	}
	for _, row := range WireRows() {
		if r, err := WireOhmPerM(row.AWG, 20); err != nil || !near(1000*r, row.MilliohmPerM, row.MilliohmPerM*0.005) {
			t.Errorf("%d AWG: %v mohm/m, table %v, %v", row.AWG, 1000*r, row.MilliohmPerM, err)
		}
	}
}

// Ohm's law on both conductors of each pair.
func TestDrop(t *testing.T) {
	for _, tt := range []struct {
		run        Run
		volt, watt float64
	}{
		{Run{AWG: 18, LengthM: 0.6, Pairs: 3, Ampere: 12.5, Celsius: 20}, 0.1047, 1.309},
		{Run{AWG: 18, LengthM: 0.6, Pairs: 3, Ampere: 12.5, Celsius: 60}, 0.1212, 1.515},
		{Run{AWG: 16, LengthM: 0.6, Pairs: 6, Ampere: 50, Celsius: 20}, 0.1317, 6.59},
	} {
		d, err := tt.run.Drop()
		if err != nil || !near(d.Volt, tt.volt, 0.00006) || !near(d.Watt, tt.watt, 0.006) {
			t.Errorf("%+v drops %+v, %v; want %v V, %v W", tt.run, d, err, tt.volt, tt.watt)
		}
		if d.Source.Firm() != (tt.run.Celsius == 20) {
			t.Errorf("%+v rests on %v", tt.run, d.Source)
		}
	}
}

// Document 336521, tables 3-5 and 4-2: 11.20 V at the source, 11.04 V at
// the card.
func TestDropAgainstCardLimit(t *testing.T) {
	source, errS := RailLimitFor(GuideATX3, Rail12V)
	card, errC := RailLimitFor(GuideCard, Rail12V)
	if errS != nil || errC != nil {
		t.Fatal(errS, errC)
	}
	for _, tt := range []struct {
		length, volt float64
		holds        bool
	}{{0.6, 11.079, true}, {1.2, 10.958, false}} {
		d, err := Run{AWG: 18, LengthM: tt.length, Pairs: 3, Ampere: 12.5, Celsius: 60}.Drop()
		if got := source.LowV - d.Volt; err != nil || !near(got, tt.volt, 0.0006) || (got >= card.LowV) != tt.holds {
			t.Errorf("%v m leave %v V, %v; want %v", tt.length, got, err, tt.volt)
		}
	}
}

func TestWireMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(thickestGauge, thinnestGauge-1).Draw(t, "gauge")
		celsius := rapid.Float64Range(coldestCopper, hottestCopper-1).Draw(t, "celsius")
		thick, errA := WireAreaMM2(n)
		thin, errB := WireAreaMM2(n + 1)
		if errA != nil || errB != nil || thick <= thin {
			t.Fatalf("%d AWG has %v mm2 and the next %v (%v, %v)", n, thick, thin, errA, errB)
		}
		low, errA := WireOhmPerM(n, celsius)
		high, errB := WireOhmPerM(n+1, celsius)
		hot, errC := WireOhmPerM(n, celsius+1)
		if errA != nil || errB != nil || errC != nil || low <= 0 || low >= high || low >= hot {
			t.Fatalf("%d AWG at %v: %v, thinner %v, hotter %v ohm/m", n, celsius, low, high, hot)
		}
	})
}

// Six gauges up double the diameter, about: the handbook rule behind the
// formula is 92^(6/39) = 2.005.
func TestSixGaugesDouble(t *testing.T) {
	for n := thickestGauge + 6; n <= thinnestGauge; n++ {
		thin, errA := WireDiameterMM(n)
		thick, errB := WireDiameterMM(n - 6)
		if errA != nil || errB != nil || !near(thick/thin, 2.005, 0.001) {
			t.Errorf("%d AWG: ratio %v", n, thick/thin)
		}
	}
}

func TestChassisAmpere(t *testing.T) {
	for awg, want := range map[int]float64{14: 32, 18: 16, 19: 11, 28: 1.4} {
		if r, err := ChassisAmpere(awg); err != nil || r.ChassisA != want {
			t.Errorf("%d AWG: %v A, %v; want %v", awg, r.ChassisA, err, want)
		}
	}
	for _, awg := range []int{13, 29} {
		if _, err := ChassisAmpere(awg); err == nil {
			t.Errorf("%d AWG has a chassis current", awg)
		}
	}
}

// NASA-STD-8739.4, section 7.3.21: 6 diameters at least, 10 for a lasting bend.
func TestBendRadius(t *testing.T) {
	if short, err := BendRadiusMM(8, false); err != nil || short != 48 {
		t.Errorf("least bend radius is %v, %v", short, err)
	}
	if long, err := BendRadiusMM(8, true); err != nil || long != 80 {
		t.Errorf("lasting bend radius is %v, %v", long, err)
	}
}

func TestWireRefuses(t *testing.T) {
	want := "the wire gauge is 41 AWG, which is out of range; give a number from -3 to 40 AWG"
	if _, err := WireAreaMM2(41); err == nil || err.Error() != want {
		t.Errorf("error is %v, want %s", err, want)
	}
	nan := math.NaN()
	for _, r := range []Run{{18, nan, 1, 1, 20}, {18, 1, 0, 1, 20}, {18, 1, 1, nan, 20}, {18, 1, 1, 1, nan}, {18, -1, 1, 1, 20}, {-4, 1, 1, 1, 20}, {18, 1, 1, math.Inf(1), 20}} {
		if d, err := r.Drop(); err == nil {
			t.Errorf("%+v drops %+v", r, d)
		}
	}
}
