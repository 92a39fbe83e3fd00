package electric

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Excursion tables of the ATX 3 supply guide, table 3-3: with and without a
// 12VHPWR connector.
var (
	excursionsWith = []ExcursionRow{
		{100e-6, 2.0, 0.05}, {1e-3, 1.8, 0.08}, {10e-3, 1.6, 0.125}, {100e-3, 1.2, 0.25},
	}
	excursionsWithout = []ExcursionRow{
		{100e-6, 1.5, 0.05}, {1e-3, 1.45, 0.08}, {10e-3, 1.35, 0.125}, {100e-3, 1.1, 0.25},
	}
)

// gold is a supply at exactly the 80 PLUS Gold levels for 115 V internal.
func gold(w float64) Supply {
	return Supply{
		Name: "gold", RatedW: w, Excursions: excursionsWith, PowerFactor: Exactly(0.95), QuietShare: 0.4,
		Efficiency: Curve{{0.2, Exactly(0.87)}, {0.5, Exactly(0.90)}, {1, Exactly(0.87)}},
		Derating:   Curve{{40, Exactly(1)}, {50, Exactly(0.8)}},
	}
}

// The worked example of the ATX 3 supply guide, table 3-4: base loads of 918,
// 897, 882 and 924 W beside excursions of a 1000 W supply, and the times between.
func TestPublishedExcursionExample(t *testing.T) {
	for _, c := range []struct {
		peak, duty, seconds, base, rest float64
	}{
		{2000, 0.05, 100e-6, 918, 1900e-6}, {1800, 0.08, 1e-3, 897, 11.5e-3},
		{1600, 0.125, 10e-3, 882, 70e-3}, {1200, 0.25, 100e-3, 924, 300e-3},
	} {
		p := Peak{Watts: Exactly(c.peak), Seconds: c.seconds, Duty: c.duty}
		got, err := gold(1000).Excursion(Exactly(c.base), p)
		if err != nil {
			t.Fatal(err)
		}
		if math.Round(got.BaseW) != c.base {
			t.Errorf("%g W: base %.1f W, published %g W", c.peak, got.BaseW, c.base)
		}
		if got.LimitW != c.peak || got.MarginW.Nominal != 0 || got.DutyLimit != c.duty {
			t.Errorf("%g W for %g s: limit %g W, margin %g W, duty %g; want the peak itself at duty %g", c.peak, c.seconds, got.LimitW, got.MarginW.Nominal, got.DutyLimit, c.duty)
		}
		if math.Abs(got.RMSMargin.Nominal) > 0.5 {
			t.Errorf("%g W: root mean square misses the rating by %g W", c.peak, got.RMSMargin.Nominal)
		}
		rest, err := p.RestSeconds()
		if err != nil || !within(rest, c.rest, 1e-12, 0) {
			t.Errorf("%g W: rest %g s (%v), published %g s", c.peak, rest, err, c.rest)
		}
	}
}

// Limits by table 3-3 of the same guide: 700 W for 100 us is too much for a
// 450 W supply without the connector (675 W), 1500 W just right for 750 W with
// it. A longer peak falls into the next row, and beyond the rows to the rating.
func TestExcursionLimits(t *testing.T) {
	small, large := gold(450), gold(750)
	small.Excursions = excursionsWithout
	for _, c := range []struct {
		s              Supply
		peak, seconds  float64
		limit, marginW float64
	}{
		{small, 700, 100e-6, 675, -25}, {large, 1500, 100e-6, 1500, 0},
		{large, 1400, 101e-6, 1350, -50}, {large, 700, 1, 750, 50},
	} {
		got, err := c.s.Excursion(Exactly(200), Peak{Exactly(c.peak), c.seconds, 0.01})
		if err != nil {
			t.Fatal(err)
		}
		if !within(got.LimitW, c.limit, 1e-12, 0) || !within(got.MarginW.Nominal, c.marginW, 1e-12, 1e-9) {
			t.Errorf("%g W for %g s: limit %g, margin %g, want %g, %g", c.peak, c.seconds, got.LimitW, got.MarginW.Nominal, c.limit, c.marginW)
		}
	}
	got, err := small.Excursion(Exactly(200), Peak{Exactly(3000), 100e-6, 0.05})
	if err != nil || got.BaseW != 0 || got.RMSMargin.High >= 0 {
		t.Errorf("a peak that alone passes the rating: %+v, %v", got, err)
	}
}

// Root mean square of base and peak is the rating: for any peak that fits.
func TestBaseLoadFillsTheRating(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rated := rapid.Float64Range(100, 2000).Draw(t, "rating")
		duty := rapid.Float64Range(0.001, 0.9).Draw(t, "duty")
		peak := rapid.Float64Range(0, 1).Draw(t, "peak") * rated / math.Sqrt(duty)
		base, err := BaseW(rated, peak, duty)
		if err != nil {
			t.Fatal(err)
		}
		if got := math.Sqrt(duty*peak*peak + (1-duty)*base*base); !within(got, rated, 1e-9, 0) {
			t.Fatalf("root mean square %g W of %g W", got, rated)
		}
	})
}

// Watts of whole connectors from their contacts: 24-pin with 9 A and 6 A
// terminals (connector handbook; pins by the ATX pinout), SATA 1.5 A a contact
// in threes, and processors' budgets of 26 A and 23 A at 11.2 V (supply guide,
// table 2-1).
func TestConnectorWatts(t *testing.T) {
	for _, c := range []struct {
		name              string
		pins              int
		amps, volts, want float64
	}{
		{"24-pin 12 V, 9 A", 2, 9, 12, 216}, {"24-pin 5 V, 9 A", 5, 9, 5, 225}, {"24-pin 3.3 V, 9 A", 4, 9, 3.3, 118.8},
		{"24-pin 12 V, 6 A", 2, 6, 12, 144}, {"24-pin 5 V, 6 A", 5, 6, 5, 150}, {"24-pin 3.3 V, 6 A", 4, 6, 3.3, 79.2},
		{"SATA 12 V", 3, 1.5, 12, 54}, {"SATA 5 V", 3, 1.5, 5, 22.5},
		{"processor of 125 W", 1, 26, 11.2, 291.2}, {"processor of 65 W", 1, 23, 11.2, 257.6},
	} {
		n := NewNetwork(copper)
		rail, load := n.Node("rail"), n.Node("load")
		n.AddRail(Rail{Name: "rail", Plus: rail, Minus: Return, Volts: Exactly(c.volts)})
		var pins []Element
		for range c.pins {
			pins = append(pins, n.AddContact(Contact{"pin", rail, load, Exactly(floorOhms)}))
		}
		e := n.AddLoad(Load{Name: c.name, Plus: load, Minus: Return, Kind: ConstantCurrent, Sustained: Exactly(c.amps * float64(c.pins))})
		w := mustCompile(t, n).NewWorkspace()
		mustSolve(t, w)
		if got := w.Watts(e); !within(got, c.want, 1e-5, 0) {
			t.Errorf("%s: %g W, want %g W", c.name, got, c.want)
		}
		for _, pin := range pins {
			if got := w.Amps(pin); !within(got, c.amps, 1e-6, 0) {
				t.Errorf("%s: %g A on a pin, want %g A", c.name, got, c.amps)
			}
		}
	}
}

// 500 W at 90 % are 555.6 W from the mains and 55.6 W of heat; 1200 W at 87 %
// and 115 V are 1379.3 W, 11.99 A at a power factor of 1 and 12.63 A at 0.95
// (80 PLUS Gold at full load).
func TestDraw(t *testing.T) {
	half, err := gold(1000).Draw(Exactly(500))
	if err != nil {
		t.Fatal(err)
	}
	if !within(half.MainsW.Nominal, 555.6, 1e-4, 0) || !within(half.HeatW.Nominal, 55.6, 1e-3, 0) || half.MainsW.Low != half.MainsW.High {
		t.Errorf("500 W: %+v, want 555.6 W from the mains, 55.6 W of heat", half)
	}
	for factor, amps := range map[float64]float64{1: 11.99, 0.95: 12.63} {
		s := gold(1200)
		s.PowerFactor = Exactly(factor)
		d, err := s.Draw(Exactly(1200))
		if err != nil {
			t.Fatal(err)
		}
		a, err := d.Amps(Exactly(115))
		if err != nil {
			t.Fatal(err)
		}
		if !within(d.MainsW.Nominal, 1379.3, 1e-4, 0) || !within(a.Nominal, amps, 1e-3, 0) {
			t.Errorf("power factor %g: %g W, %g A, want 1379.3 W, %g A", factor, d.MainsW.Nominal, a.Nominal, amps)
		}
	}
}

// The ends of Draw hold every load within its range, the ends of the heat and
// of the input included, on efficiency curves of any shape.
func TestDrawHoldsEveryLoadWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawn{t}
		s := gold(1000)
		s.Efficiency = nil
		for _, x := range []float64{0.1, 0.2, 0.5, 1} {
			y := c.between(0.5, 0.98)
			s.Efficiency = append(s.Efficiency, Point{x, Range{y * c.between(0.95, 1), y, min(1, y*c.between(1, 1.02))}})
		}
		low := c.between(0, 990)
		r := Range{Low: low, High: low + c.between(0, 1000-low)}
		r.Nominal = (r.Low + r.High) / 2
		all, err := s.Draw(r)
		if err != nil {
			t.Fatal(err)
		}
		one, err := s.Draw(Exactly(min(r.High, r.Low+(r.High-r.Low)*c.between(0, 1))))
		if err != nil {
			t.Fatal(err)
		}
		holds := func(what string, outer, inner Range) {
			if inner.Low < outer.Low-1e-9 || inner.High > outer.High+1e-9 || outer.Check(what) != nil {
				t.Fatalf("%s: %+v does not hold %+v", what, outer, inner)
			}
		}
		holds("efficiency", all.Efficiency, one.Efficiency)
		holds("heat", all.HeatW, one.HeatW)
		holds("mains", all.MainsW, one.MainsW)
	})
}

// Below the first tested point the loss lies between none that stays and all
// that stays: 2 % load on a supply of 87 % at 20 % is 40 to 87 % efficient.
func TestLightLoadIsARange(t *testing.T) {
	d, err := gold(1000).Draw(Exactly(20))
	if err != nil {
		t.Fatal(err)
	}
	if !within(d.Efficiency.Low, 20/(20+200*(1/0.87-1)), 1e-12, 0) || !within(d.Efficiency.High, 0.87, 1e-12, 0) {
		t.Errorf("efficiency %+v", d.Efficiency)
	}
	none, err := gold(1000).Draw(Range{})
	if err != nil || none.MainsW.Low != 0 || !within(none.MainsW.High, 200*(1/0.87-1), 1e-12, 0) || none.Efficiency.High != 0 {
		t.Errorf("without load: %+v, %v", none, err)
	}
}

func TestCapacityFallsWithHeat(t *testing.T) {
	for _, c := range []struct{ intake, want Range }{
		{Exactly(25), Exactly(1000)}, {Exactly(45), Exactly(900)}, {Range{35, 45, 50}, Range{800, 900, 1000}},
	} {
		got, err := gold(1000).CapacityW(c.intake)
		if err != nil || got != c.want {
			t.Errorf("at %+v C: %+v W (%v), want %+v W", c.intake, got, err, c.want)
		}
	}
	_, err := gold(1000).CapacityW(Exactly(55))
	want := `supply "gold" promises nothing above 50 C and takes in air of 55 C: bring it cooler air`
	var bad *InputError
	if !errors.As(err, &bad) || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func TestQuietAndBestPoint(t *testing.T) {
	quiet, err := gold(1000).QuietW()
	if err != nil || quiet != 400 {
		t.Errorf("quiet up to %g W (%v), want 400 W", quiet, err)
	}
	best, err := gold(1000).BestW()
	if err != nil || best != 500 {
		t.Errorf("best at %g W (%v), want 500 W", best, err)
	}
}

func TestBadSuppliesAreRefused(t *testing.T) {
	spoiled := func(spoil func(*Supply)) Supply {
		s := gold(1000)
		spoil(&s)
		return s
	}
	peak := Peak{Exactly(1000), 1e-3, 0.05}
	draw := func(s Supply, w float64) error { _, err := s.Draw(Exactly(w)); return err }
	excursion := func(s Supply, p Peak) error { _, err := s.Excursion(Exactly(100), p); return err }
	capacity := func(s Supply) error { _, err := s.CapacityW(Exactly(20)); return err }
	quiet := func(s Supply) error { _, err := s.QuietW(); return err }
	for _, c := range []struct {
		err  error
		want string
	}{
		{draw(spoiled(func(s *Supply) { s.RatedW = 0 }), 10), `supply "gold" is wrong: its rating in W is 0, not above zero: give a figure above zero`},
		{draw(gold(1000), 1200), `supply "gold" is asked for 1200 W, beyond the 1000 W up to which its efficiency is known: take a larger one`},
		{draw(gold(1000), -5), `supply "gold" is wrong: its output in W is -5, below zero: give zero or more`},
		{draw(spoiled(func(s *Supply) { s.Efficiency = nil }), 10), `supply "gold" is not described: its efficiency has no points: give at least one`},
		{draw(spoiled(func(s *Supply) { s.PowerFactor = Range{} }), 10), `supply "gold" is wrong: its power factor is 0, not above zero: give a figure above zero`},
		{draw(spoiled(func(s *Supply) { s.PowerFactor = Exactly(1.2) }), 10), `supply "gold" has a power factor of 1.2: give one up to 1`},
		{excursion(spoiled(func(s *Supply) { s.Excursions = nil }), peak), `supply "gold" has no table of excursions: give its rows, or the form factor guide's`},
		{excursion(spoiled(func(s *Supply) { s.Excursions = []ExcursionRow{{1e-3, 1.2, 0.1}, {1e-2, 1.5, 0.1}} }), peak), `supply "gold" has excursion rows out of order at row 2: list them by rising duration and falling share`},
		{excursion(spoiled(func(s *Supply) { s.Excursions = []ExcursionRow{{1e-3, 0.5, 0.1}} }), peak), `supply "gold" has an excursion row 1 of 0.001 s, share 0.5, duty 0.1: give seconds above 0, a share of 1 to 10, a duty above 0 up to 1`},
		{excursion(gold(1000), Peak{Exactly(1000), 1e-3, 1.5}), `supply "gold" cannot be checked: the peak takes 1.5 of the time: give a share between 0 and 1`},
		{excursion(gold(1000), Peak{Exactly(-1), 1e-3, 0.1}), `supply "gold" cannot be checked: the peak in W is -1, below zero: give zero or more`},
		{capacity(spoiled(func(s *Supply) { s.Derating = nil })), `supply "gold" is not described: its derating has no points: give at least one`},
		{capacity(spoiled(func(s *Supply) { s.Derating = Curve{{40, Exactly(0.8)}, {50, Exactly(1)}} })), `supply "gold" gives more power at 50 C than at 40 C: give a derating that falls`},
		{capacity(spoiled(func(s *Supply) { s.Derating = Curve{{40, Exactly(1)}, {40, Exactly(0.8)}} })), `supply "gold" is not described: point 2 of its derating stands at 40, not beyond 40: give points of rising position`},
		{quiet(spoiled(func(s *Supply) { s.QuietShare = 0 })), `supply "gold" does not say up to which share of its rating it stays quiet: give a share above 0 and up to 1`},
	} {
		if c.err == nil || c.err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", c.err, c.want)
		}
	}
}
