package electric

import (
	"testing"

	"pgregory.net/rapid"
)

// The 12V-2x6 connector: six pairs, 9.2 A a contact, 55 A at most (PCI Express
// card guide, table 3-5; connector clause 5.2.2.4.3). 600 W at 12 V over alike
// contacts are 8.33 A each, 55 A are 9.17 A; with one of six open, 10.0 A.
func TestSixContactsAlike(t *testing.T) {
	const rated = 9.2
	six := Contacts{Name: "12V-2x6", Count: 6, Ohms: Exactly(0.003)}
	for _, c := range []struct {
		amps, want float64
		open       int
		passes     bool
	}{{50, 8.333, 0, true}, {55, 9.167, 0, true}, {50, 10.0, 1, false}} {
		six.Open = c.open
		s, err := six.Share(Exactly(c.amps))
		if err != nil {
			t.Fatal(err)
		}
		if !within(s.Amps.High, c.want, 1e-4, 0) || (s.Amps.High <= rated) != c.passes {
			t.Errorf("%g A with %d open: %.3f A, want %.3f A, within the rating: %t", c.amps, c.open, s.Amps.High, c.want, c.passes)
		}
	}
	six.Open = 0
	if most, err := six.MostOpen(Exactly(50), rated); err != nil || most != 0 {
		t.Errorf("at 50 A %d contacts may open (%v), want none", most, err)
	}
	if most, err := six.MostOpen(Exactly(25), rated); err != nil || most != 3 {
		t.Errorf("at 25 A %d contacts may open (%v), want 3: 25/3 = 8.33 A, 25/2 = 12.5 A", most, err)
	}
	if most, err := six.MostOpen(Exactly(60), rated); err != nil || most != -1 {
		t.Errorf("at 60 A: %d (%v), want -1", most, err)
	}
}

// Six contacts of 2 to 6 mohm on bare joints: the low one takes
// 1/2 / (1/2 + 5/6) = 3/8 of the current, 2.25 even shares. 10 mohm of wire in
// series with each make it 1/12 / (1/12 + 5/16) = 4/19, 1.263 even shares.
func TestUnevenContacts(t *testing.T) {
	set := Contacts{Name: "plug", Count: 6, Ohms: Range{0.002, 0.003, 0.006}}
	bare, err := set.Share(Exactly(48))
	if err != nil {
		t.Fatal(err)
	}
	set.WireOhms = Exactly(0.010)
	wired, err := set.Share(Exactly(48))
	if err != nil {
		t.Fatal(err)
	}
	if !within(bare.Amps.High, 18, 1e-12, 0) || !within(bare.Factor, 2.25, 1e-12, 0) || bare.Amps.Nominal != 8 {
		t.Errorf("bare: %+v, want 18 A, factor 2.25, 8 A when alike", bare)
	}
	if !within(wired.Factor, 24.0/19, 1e-12, 0) {
		t.Errorf("with wires the factor is %g, want %g", wired.Factor, 24.0/19)
	}
	set.WireOhms = Range{0.010, 0.02, 0.04}
	if short, err := set.Share(Exactly(48)); err != nil || short != wired {
		t.Errorf("with wires of 10 mohm or more: %+v (%v), want the worst at 10 mohm, %+v", short, err, wired)
	}
}

// The closed form is what the network's search over all corners finds.
func TestSharingIsTheNetworkBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawn{t}
		count := 2 + c.below(7)
		x := c.between(0.001, 0.01)
		ohms := Range{x, x * c.between(1, 2), x * c.between(2, 4)}
		n := NewNetwork(copper)
		rail, plug := n.Node("12 V"), n.Node("card")
		n.AddRail(Rail{Name: "12 V", Plus: rail, Minus: Return, Volts: Exactly(12)})
		wire := Wire{Gauge: 16, LengthMM: Exactly(c.between(50, 600)), Count: count, TempC: Exactly(20)}
		h := n.AddHarness(Harness{Name: "cable", From: rail, To: plug, Wire: wire, PlugOhms: ohms})
		n.AddLoad(Load{Name: "card", Plus: plug, Minus: Return, Kind: ConstantCurrent, Sustained: Exactly(40)})
		circuit, err := n.Compile()
		if err != nil {
			t.Fatal(err)
		}
		bound, err := circuit.NewWorkspace().BoundAmps(Sustained, h.Plugs[0])
		if err != nil {
			t.Fatal(err)
		}
		wire.Count = 1
		r, err := wire.Resistance(copper)
		if err != nil {
			t.Fatal(err)
		}
		s, err := Contacts{Name: "cable", Count: count, Ohms: ohms, WireOhms: r}.Share(Exactly(40))
		if err != nil {
			t.Fatal(err)
		}
		if !within(s.Amps.High, bound.High, 1e-9, 0) {
			t.Fatalf("closed form %g A, network %g A", s.Amps.High, bound.High)
		}
	})
}

func TestBadContactsAreRefused(t *testing.T) {
	for _, c := range []struct {
		set  Contacts
		want string
	}{
		{Contacts{Name: "plug"}, `connector "plug" has 0 contacts: give their number`},
		{Contacts{Name: "plug", Count: 2, Open: 2}, `connector "plug" has 2 of its 2 contacts open: leave at least one closed`},
		{Contacts{Name: "plug", Count: 2, Ohms: Exactly(-1)}, `connector "plug" is wrong: its contact resistance in ohm is -1, below zero: give zero or more`},
	} {
		if _, err := c.set.Share(Exactly(10)); err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
	want := `connector "plug" has contacts rated 0 A: give a rating above zero`
	if _, err := (Contacts{Name: "plug", Count: 2}).MostOpen(Exactly(1), 0); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
