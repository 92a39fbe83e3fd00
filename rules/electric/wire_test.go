package electric

import (
	"math"
	"strings"
	"testing"
)

// Diameters by ASTM B258; areas and resistances as handbook tables of solid
// annealed copper wire print them.
func TestGaugeTable(t *testing.T) {
	for _, row := range []struct {
		gauge               Gauge
		diameter, area, mOm float64
	}{
		{14, 1.628, 2.081, 8.29}, {16, 1.291, 1.309, 13.2}, {18, 1.024, 0.823, 21.0}, {20, 0.812, 0.518, 33.3},
		{22, 0.644, 0.326, 53.0}, {24, 0.511, 0.205, 84.2}, {26, 0.405, 0.129, 134}, {28, 0.321, 0.0810, 213},
	} {
		if got := row.gauge.DiameterMM(); !within(got, row.diameter, 0.002, 0) {
			t.Errorf("AWG %d: %g mm, table %g", row.gauge, got, row.diameter)
		}
		if got := row.gauge.AreaMM2(); !within(got, row.area, 0.005, 0) {
			t.Errorf("AWG %d: %g mm2, table %g", row.gauge, got, row.area)
		}
		r, err := metre(row.gauge).Resistance(copper)
		if err != nil {
			t.Fatal(err)
		}
		if got := 1000 * r.Nominal; !within(got, row.mOm, 0.005, 0) {
			t.Errorf("AWG %d: %g mohm/m, table %g", row.gauge, got, row.mOm)
		}
	}
}

// extension is a supply, an extension cable of pairs, and a card, by hand.
func extension(t *testing.T, volts float64, g Gauge, mm, tempC float64, pairs int, amps float64) (*Workspace, Element, Element) {
	t.Helper()
	n := NewNetwork(copper)
	rail, plus, minus := n.Node("12 V"), n.Node("card 12 V"), n.Node("card ground")
	n.AddRail(Rail{Name: "12 V", Plus: rail, Minus: Return, Volts: Exactly(volts)})
	w := Wire{Gauge: g, LengthMM: Exactly(mm), Count: pairs, TempC: Exactly(tempC)}
	there := n.AddConductor(Conductor{"there", rail, plus, w})
	n.AddConductor(Conductor{"back", minus, Return, w})
	card := n.AddLoad(Load{Name: "card", Plus: plus, Minus: minus, Kind: ConstantCurrent, Sustained: Exactly(amps)})
	s := mustCompile(t, n).NewWorkspace()
	mustSolve(t, s)
	return s, card, there
}

// Drops of extensions: V = 2 L r20 (1 + alpha (T - 20)) I per pair, worked by
// hand; limits of the card's connector and of the supply's load end as in the
// PCI Express card and ATX 3 supply guides (11.04 V and 11.20 V).
func TestExtensionDrops(t *testing.T) {
	for _, c := range []struct {
		name                 string
		gauge                Gauge
		mm, tempC            float64
		pairs                int
		amps, drop, tolerant float64
	}{
		{"18 AWG, 0.6 m, 150 W over 3 pairs, 20 C", 18, 600, 20, 3, 12.5, 0.1047, 0.0001},
		{"the same at 60 C", 18, 600, 60, 3, 12.5, 0.1212, 0.0001},
		{"16 AWG, 0.6 m, 600 W over 6 pairs, 20 C", 16, 600, 20, 6, 50, 0.1317, 0.0001},
	} {
		w, card, there := extension(t, 12, c.gauge, c.mm, c.tempC, c.pairs, c.amps)
		if drop := 12 - w.Across(card); math.Abs(drop-c.drop) > c.tolerant {
			t.Errorf("%s: drop %.4f V, want %.4f V", c.name, drop, c.drop)
		}
		if got, want := w.WireAmps(there), c.amps/float64(c.pairs); !within(got, want, 1e-12, 0) {
			t.Errorf("%s: %g A in each wire, want %g A", c.name, got, want)
		}
	}
	w, _, _ := extension(t, 12, 16, 600, 20, 6, 50)
	if got := w.LossWatts(); math.Abs(got-6.59) > 0.01 {
		t.Errorf("600 W over 0.6 m of six 16 AWG pairs lose %.2f W, want 6.59 W", got)
	}
	const cardLeast = 11.04
	short, card, _ := extension(t, 11.20, 18, 600, 60, 3, 12.5)
	long, _, _ := extension(t, 11.20, 18, 1200, 60, 3, 12.5)
	if v := short.Across(card); math.Abs(v-11.079) > 0.001 || v < cardLeast {
		t.Errorf("0.6 m leaves %.3f V, want 11.079 V, above 11.04 V", v)
	}
	if v := long.Across(card); math.Abs(v-10.958) > 0.001 || v >= cardLeast {
		t.Errorf("1.2 m leaves %.3f V, want 10.958 V, below 11.04 V", v)
	}
}

// stillAir is one wire in the air of a room.
var stillAir = Surroundings{AirC: Exactly(25), WallMM: 0.4, Emissivity: 0.9, BundleShare: 1}

// The amperes that handbooks give for chassis wiring (a single wire in free
// air) keep every gauge within common insulation of 105 C: thick ones grow hot,
// thin ones, which the table treats more carefully, hand warm.
func TestChassisWiringAmpsAreWarmNotHot(t *testing.T) {
	for gauge, amps := range map[Gauge]float64{14: 32, 16: 22, 18: 16, 20: 11, 22: 7, 24: 3.5, 26: 2.2, 28: 1.4} {
		temp, err := stillAir.WireTemperature(copper, metre(gauge), Exactly(amps))
		if err != nil {
			t.Fatal(err)
		}
		if rise := temp.Nominal - 25; rise < 5 || rise > 80 {
			t.Errorf("AWG %d at %g A rises %.0f K", gauge, amps, rise)
		}
	}
}

// At the temperature found, the heat that the warm wire makes is the heat that
// its jacket gives away, worked out here from the temperature backwards.
func TestWireHeatBalances(t *testing.T) {
	const amps, share = 9.0, 0.7
	s := stillAir
	s.BundleShare = share
	temp, err := s.WireTemperature(copper, metre(18), Exactly(amps))
	if err != nil {
		t.Fatal(err)
	}
	area := Gauge(18).AreaMM2()
	made := amps / share * amps / share * copper.OhmMetre / (area * 1e-6) * (1 + copper.PerKelvin*(temp.Nominal-20))
	bare := Gauge(18).DiameterMM()
	surface := temp.Nominal - made*math.Log((bare+0.8)/bare)/(2*math.Pi*jacketConductivity)
	if given := jacketLoss((bare+0.8)/1000, surface, 25, 0.9); !within(made, given, 1e-6, 0) {
		t.Errorf("the wire makes %g W/m and gives away %g W/m", made, given)
	}
	alone, err := stillAir.WireTemperature(copper, metre(18), Exactly(amps/share))
	if err != nil || alone != temp {
		t.Errorf("a share of 0.7 warms to %g C, the same wire alone at 1/0.7 of the current to %g C (%v)", temp.Nominal, alone.Nominal, err)
	}
}

// Free convection from a horizontal cylinder: 20 mm, surface 76.85 C, air
// 26.85 C, film at 325 K; worked by hand from table values at 325 K (k 0.0282,
// nu 18.4e-6, Pr 0.704, from memory): Ra 2.51e4, Nu 5.46, h 7.70 W/(m2 K).
func TestJacketConvection(t *testing.T) {
	got := jacketLoss(0.020, 76.85, 26.85, 0) / (math.Pi * 0.020 * 50)
	if want := 7.70; !within(got, want, 0.02, 0) {
		t.Errorf("h = %.2f W/(m2 K), want %.2f", got, want)
	}
}

func TestWireTemperatureRefusals(t *testing.T) {
	for _, c := range []struct {
		amps float64
		s    Surroundings
		want string
	}{
		{200, stillAir, "the wire at 200.0 A would pass 300 C, where no insulation survives: use a thicker wire or more of them"},
		{5, Surroundings{AirC: Exactly(25), Emissivity: 0.9}, "the bundle share is 0: give one above 0, up to 1 for a wire on its own"},
		{math.NaN(), stillAir, "current in A is not a finite number: give a plain figure"},
	} {
		_, err := c.s.WireTemperature(copper, metre(18), Exactly(c.amps))
		if err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

// Warm wiring: the cables of a desktop settle above the air, more resistance
// costs more volts than at 20 C, and the current's own warmth is fed back.
func TestSolveWarm(t *testing.T) {
	w, card, there := extension(t, 12, 18, 600, 20, 3, 25)
	cold := w.Across(card)
	s := stillAir
	s.BundleShare = 0.8
	w.Assume(Sustained, Nominal)
	if err := w.SolveWarm(s); err != nil {
		t.Fatal(err)
	}
	temp, err := s.WireTemperature(copper, metre(18), Exactly(25.0/3))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(w.CopperC(there)-temp.Nominal) > 0.01 || temp.Nominal < 35 {
		t.Errorf("the cable settles at %.2f C, the lone wire at %.2f C", w.CopperC(there), temp.Nominal)
	}
	want := 12 - (12-cold)*(1+copper.PerKelvin*(temp.Nominal-20))
	if got := w.Across(card); math.Abs(got-want) > 1e-5 {
		t.Errorf("the warm cable leaves %.5f V, want %.5f V", got, want)
	}
	thin, _, _ := extension(t, 12, 28, 600, 20, 3, 25)
	if err := thin.SolveWarm(s); err == nil || !strings.HasPrefix(err.Error(), `cable "there" would pass 300 C`) {
		t.Errorf("25 A over three wires of 28 AWG: %v", err)
	}
}
