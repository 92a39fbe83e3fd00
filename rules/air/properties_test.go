package air

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// near fails the test when got is further than tol from want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tol)
	}
}

func mustAt(t *testing.T, p, c float64) State {
	t.Helper()
	s, err := At(p, c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestDensityAgainstPsychrometricTables(t *testing.T) {
	// ASHRAE psychrometric formulation, dry and moist air.
	near(t, "dry, 20 degC", mustAt(t, StandardPressurePa, 20).DensityKgM3, 1.20415188, 1e-4)
	near(t, "dry, 25 degC", mustAt(t, StandardPressurePa, 25).DensityKgM3, 1.18395815, 1e-4)
	moist, err := mustAt(t, 95461, 30).MoistDensityKgM3(0.02)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "moist, 30 degC, 0.02 kg/kg, 95461 Pa", moist, 1.08411986, 1e-4)
}

// Table of dry air at one atmosphere in the usual heat transfer textbooks
// (density, specific heat, conductivity, viscosity).
func TestPropertiesAgainstTextbookTable(t *testing.T) {
	for _, row := range []struct{ c, rho, cp, k, mu float64 }{
		{0, 1.292, 1006, 0.02364, 1.729e-5},
		{25, 1.184, 1007, 0.02551, 1.849e-5},
		{35, 1.145, 1007, 0.02625, 1.895e-5},
		{40, 1.127, 1007, 0.02662, 1.918e-5},
		{60, 1.059, 1007, 0.02808, 2.008e-5},
	} {
		s := mustAt(t, StandardPressurePa, row.c)
		near(t, "density", s.DensityKgM3, row.rho, 0.001)
		near(t, "specific heat", s.CpJKgK, row.cp, 0.003*row.cp)
		near(t, "conductivity", s.ConductivityWMK, row.k, 0.025*row.k)
		near(t, "viscosity", s.ViscosityPaS, row.mu, 0.01*row.mu)
	}
}

func TestDensityAgainstOneAtmosphereFit(t *testing.T) {
	// Real-gas fit for 200 to 400 K, said to be within 0.15 percent of tables.
	for c := -70.0; c <= 120; c += 10 {
		k := c + ZeroCelsiusK
		fit := 351.99/k + 344.88/(k*k)
		near(t, "density", mustAt(t, StandardPressurePa, c).DensityKgM3, fit, 0.0025*fit)
	}
}

// U.S. Standard Atmosphere 1976, computed by geometric altitude.
func TestStandardAtmosphereTable(t *testing.T) {
	for _, row := range []struct{ z, p, rho, tolP float64 }{
		{0, 101325, 1.22500, 0.5}, {500, 95461.3, 1.16727, 0.5}, {1000, 89876.3, 1.11166, 0.5},
		{1500, 84559.7, 1.05810, 0.5}, {2000, 79501.4, 1.00655, 0.5}, {3000, 70121.2, 0.90925, 0.5},
		{5000, 54048.28614576, 0.73642842, 0.054},
	} {
		s, err := StandardAtmosphere(row.z)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "pressure", s.PressurePa, row.p, row.tolP)
		near(t, "density", s.DensityKgM3, row.rho, 1e-5)
	}
	s, _ := StandardAtmosphere(5000)
	near(t, "viscosity at 5000 m", s.ViscosityPaS, 1.628248e-5, 1e-11)
	// ASHRAE gives 84555.932 Pa at 1500 m without the geopotential correction.
	p, err := PressureAtAltitude(1500)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "pressure against ASHRAE at 1500 m", p, 84555.932, 5)
}

// Density factors of fan makers' catalogues by altitude in feet, 70 degF.
func TestDensityFactorsByAltitude(t *testing.T) {
	sea, err := Room(0, CelsiusFromFahrenheit(70))
	if err != nil {
		t.Fatal(err)
	}
	for feet, factor := range map[float64]float64{1000: .964, 2000: .930, 3000: .896, 4000: .864, 5000: .832,
		6000: .801, 7000: .772, 8000: .743, 10000: .688} {
		room, err := Room(feet*.3048, CelsiusFromFahrenheit(70))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "factor", room.DensityKgM3/sea.DensityKgM3, factor, .001)
	}
	near(t, "100 degF at sea level", mustAt(t, sea.PressurePa, CelsiusFromFahrenheit(100)).DensityKgM3/sea.DensityKgM3, .946, .001)
}

func TestRoomKeepsItsOwnTemperature(t *testing.T) {
	room, err := Room(1500, 20)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "density of a room at 1500 m, 20 degC", room.DensityKgM3, 1.005, 0.0006)
	near(t, "pressure", room.PressurePa, 84559.7, 0.5)
}

func TestHeatBalance(t *testing.T) {
	// 300 W into 50 cubic feet a minute, rho 1.204, cp 1006: 10.496 K.
	s := State{DensityKgM3: 1.204, CpJKgK: 1006}
	rise, err := s.RiseK(300, 50*M3SPerCFM)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rise at sea level", rise, 10.496, 0.01)
	// The same at 84556 Pa and 20 degC: 12.577 K.
	rise, err = mustAt(t, 84556, 20).RiseK(300, 50*M3SPerCFM)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rise at 1500 m", rise, 12.577, 0.02)
	// Worked example for enclosures: 800 W at 3 K, cp 1005, needs 0.265 kg/s.
	m, err := State{DensityKgM3: 1.1089, CpJKgK: 1005}.MassFlowForRiseKgS(800, 3)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mass flow", m, 0.26534, 1e-4)
	// Rule of the trade: cfm = 3160 kW / (temperature difference in degF),
	// for air of 1.2 kg/m3.
	q, err := State{DensityKgM3: 1.2, CpJKgK: 1005}.FlowForRiseM3S(1000, 10*KelvinPerFahr)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "flow for 1 kW at 10 degF", q/M3SPerCFM, 316, 0.5)
	// 1.757 W/K rule for the same air.
	q, _ = State{DensityKgM3: 1.2, CpJKgK: 1005}.FlowForRiseM3S(1, 1)
	near(t, "cfm per W/K", q/M3SPerCFM, 1.757, 0.001)
}

func TestMixOfTwoStreams(t *testing.T) {
	// Balance of mass and energy: 10 kg/s at 40 with 20 kg/s at 30 degC.
	c, err := MixC([]float64{10, 20, -30}, []float64{40, 30, 99})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mixed", c, 100.0/3, 1e-12)
	if _, err := MixC([]float64{-1}, []float64{20}); err == nil {
		t.Error("nothing arrives: want an error")
	}
	if _, err := MixC([]float64{1, 2}, []float64{20}); err == nil {
		t.Error("lengths differ: want an error")
	}
}

func TestBuoyancyHead(t *testing.T) {
	// Stack of 0.4 m, 25 degC outside and 40 degC inside: 0.2227 Pa.
	out, in := mustAt(t, StandardPressurePa, 25), mustAt(t, StandardPressurePa, 40)
	near(t, "0.4 m", BuoyancyPa(0.4, out.DensityKgM3, in.DensityKgM3), 0.2227, 0.001)
	// House of 8 m, 20 degC inside, -10 degC outside: 10.79 Pa (natural
	// draught ventilation, density 353/(273+t)).
	near(t, "8 m", BuoyancyPa(8, 353.0/263, 353.0/293), 10.79, 0.02)
}

func TestSoundSpeed(t *testing.T) {
	near(t, "speed of sound at 20 degC", mustAt(t, StandardPressurePa, 20).SoundSpeedMS(), 343.2, 0.05)
}

func TestUnits(t *testing.T) {
	near(t, "cfm", M3SPerCFM, 4.71947e-4, 1e-9)
	near(t, "standard fan air", 0.075*KgM3PerLbFt3, 1.2, 0.002)
	near(t, "70 degF", CelsiusFromFahrenheit(70), 21.1111, 1e-4)
	near(t, "back again", FahrenheitFromCelsius(CelsiusFromFahrenheit(70)), 70, 1e-12)
	near(t, "29.92 inHg at 70 degF", mustAt(t, 101325, CelsiusFromFahrenheit(70)).DensityKgM3, 0.075*KgM3PerLbFt3, 0.003)
	near(t, "velocity head", VelocityHeadPa(1.2, 10), 60, 1e-12)
	near(t, "disc", DiscAreaM2(0.12), 0.0113097, 1e-6)
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, f := range map[string]func() error{
		"pressure NaN":     func() error { _, err := At(nan, 20); return err },
		"temperature NaN":  func() error { _, err := At(1e5, nan); return err },
		"temperature high": func() error { _, err := At(1e5, 127); return err },
		"temperature low":  func() error { _, err := At(1e5, -74); return err },
		"vacuum":           func() error { _, err := At(0, 20); return err },
		"altitude":         func() error { _, err := Room(12000, 20); return err },
		"altitude inf":     func() error { _, err := PressureAtAltitude(inf); return err },
		"altitude NaN":     func() error { _, err := StandardAtmosphere(nan); return err },
		"zero flow":        func() error { _, err := State{DensityKgM3: 1, CpJKgK: 1}.RiseK(1, 0); return err },
		"power inf":        func() error { _, err := State{DensityKgM3: 1, CpJKgK: 1}.RiseK(inf, 1); return err },
		"zero rise":        func() error { _, err := State{DensityKgM3: 1, CpJKgK: 1}.FlowForRiseM3S(1, 0); return err },
		"humidity":         func() error { _, err := State{}.MoistDensityKgM3(nan); return err },
		"no stream":        func() error { _, err := MixC(nil, nil); return err },
		"stream NaN":       func() error { _, err := MixC([]float64{nan}, []float64{1}); return err },
	} {
		err := f()
		var refused *RangeError
		if !errors.As(err, &refused) {
			t.Errorf("%s: got %v, want a *RangeError", name, err)
			continue
		}
		if !strings.Contains(err.Error(), "give a ") {
			t.Errorf("%s: the sentence names no next step: %s", name, err)
		}
	}
}

func TestRangeErrorSentences(t *testing.T) {
	for _, row := range []struct {
		err  error
		want string
	}{
		{CheckRange("air temperature", 140, -40, 60, "degC"),
			"air temperature of 140 degC is outside the range from -40 to 60 degC; give a value inside it"},
		{CheckRange("air temperature", math.NaN(), -40, 60, "degC"),
			"air temperature is not a number; give a value in degC"},
		{CheckRange("open ratio", math.NaN(), 0, 1, ""),
			"open ratio is not a number; give a value in plain figures"},
		{CheckRange("height", -1, 0, math.Inf(1), "m"),
			"height of -1 m is not accepted; give a finite value of at least 0 m"},
		{CheckPositive("area", 0, "m2"),
			"area of 0 m2 is not accepted; give a finite value above 0 m2"},
	} {
		if row.err == nil || row.err.Error() != row.want {
			t.Errorf("got  %v\nwant %s", row.err, row.want)
		}
	}
}

func TestPropertiesAreFiniteAndSmooth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(LowestPressurePa, HighestPressurePa).Draw(t, "p")
		c := rapid.Float64Range(LowestTemperatureC, HighestTemperatureC-1).Draw(t, "c")
		a, err := At(p, c)
		if err != nil {
			t.Fatal(err)
		}
		b, err := a.WithTemperature(c + 1)
		if err != nil {
			t.Fatal(err)
		}
		if !(b.DensityKgM3 < a.DensityKgM3 && b.ViscosityPaS > a.ViscosityPaS && b.ConductivityWMK > a.ConductivityWMK) {
			t.Fatalf("warmer air must be thinner, more viscous and a better conductor: %+v %+v", a, b)
		}
		if pr := a.Prandtl(); pr < 0.66 || pr > 0.78 {
			t.Fatalf("Prandtl number %g of %+v", pr, a)
		}
		if r := a.DiffusivityM2S() * a.Prandtl() / a.KinematicViscosityM2S(); math.Abs(r-1) > 1e-12 {
			t.Fatalf("diffusivity times Prandtl number must be the kinematic viscosity, ratio %g", r)
		}
		if e := a.ExpansionPerK() * (c + ZeroCelsiusK); math.Abs(e-1) > 1e-12 {
			t.Fatalf("expansion %g", e)
		}
	})
}
