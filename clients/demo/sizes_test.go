package demo

import (
	"math"
	"strings"
	"testing"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/standards"
)

// Boards lie within the greatest outline of their form factor (microATX specification 1.2, table 3; Mini-ITX addendum
// 1.1, table 1), and what is on them lies on them.
func TestBoardsKeepTheirOutline(t *testing.T) {
	for _, e := range catalogue(t) {
		b := e.part.GetBoard()
		if b == nil {
			continue
		}
		form, err := standards.BoardByToken(b.GetFormFactor())
		if err != nil {
			t.Fatal(err)
		}
		// 0.2 mm: the standards print whole millimetres of an outline in inches.
		if b.GetWidthMm() > form.WidthMM+0.2 || b.GetDepthMm() > form.DepthMM+0.2 {
			t.Errorf("%s is %g x %g mm, larger than %s", e.part.GetId(), b.GetWidthMm(), b.GetDepthMm(), form.Name)
		}
		places := []*slipfitv1.Point{b.GetSocketCentre()}
		for _, h := range b.GetHeaders() {
			places = append(places, h.GetAt())
		}
		for _, s := range b.GetPowerSockets() {
			places = append(places, s.GetAt())
		}
		for _, h := range e.part.GetHoles() {
			places = append(places, h.GetCentre())
		}
		for i, p := range places {
			if p.GetXMm() < 0 || p.GetYMm() < 0 || p.GetXMm() > b.GetWidthMm() || p.GetYMm() > b.GetDepthMm() {
				t.Errorf("%s: place %d (%g, %g) does not lie on the board", e.part.GetId(), i, p.GetXMm(), p.GetYMm())
			}
		}
		for _, slot := range b.GetCardSlots() {
			if int(slot.GetPosition()) > form.Slots {
				t.Errorf("%s: slot %s at position %d, %s has %d", e.part.GetId(), slot.GetId(), slot.GetPosition(), form.Name, form.Slots)
			}
		}
	}
}

// Supplies have the body of their form factor (design guide of desktop supplies; SFX-L from its drawing), and their
// outlets lie in the face away from the inlet.
func TestSuppliesKeepTheirForm(t *testing.T) {
	for _, e := range catalogue(t) {
		s := e.part.GetSupply()
		if s == nil {
			continue
		}
		id := e.part.GetId()
		form, err := standards.SupplyFormByToken(s.GetFormFactor())
		if err != nil {
			t.Fatal(err)
		}
		if s.GetWidthMm() != form.WidthMM || s.GetHeightMm() != form.HeightMM || (s.GetLengthMm() != form.DepthMM && !form.DepthVaries) {
			t.Errorf("%s is %g x %g x %g mm, %s is %g x %g x %g mm", id,
				s.GetWidthMm(), s.GetHeightMm(), s.GetLengthMm(), form.Name, form.WidthMM, form.HeightMM, form.DepthMM)
		}
		for _, o := range s.GetOutlets() {
			at := o.GetAt()
			if at.GetYMm() != s.GetLengthMm() || at.GetXMm() > s.GetWidthMm() || at.GetZMm() > s.GetHeightMm() {
				t.Errorf("%s: the outlet %s does not lie in the far face", id, o.GetSocket())
			}
		}
	}
}

// What supplies promise: 12 V within the rating, the efficiency of their mark at the load points of the programme, a
// 12V-2x6 plug above 450 W (design guide 336521, 5.2.2.4.3), cables of their own pin-out for sockets that they have.
func TestSuppliesKeepTheirPromises(t *testing.T) {
	for _, e := range catalogue(t) {
		s := e.part.GetSupply()
		if s == nil {
			continue
		}
		id := e.part.GetId()
		sockets, ends := map[string]uint32{}, map[string]bool{}
		for _, o := range s.GetOutlets() {
			sockets[o.GetSocket()] += max(1, o.GetCount())
		}
		for _, c := range s.GetCables() {
			if c.GetPinout() != s.GetPinout() || c.GetCaptive() != (len(s.GetOutlets()) == 0) {
				t.Errorf("%s: a cable of pin-out %q, captive %v", id, c.GetPinout(), c.GetCaptive())
			}
			if !c.GetCaptive() {
				if sockets[c.GetFrom()] < max(1, c.GetCount()) {
					t.Errorf("%s: more cables for the socket %s than sockets", id, c.GetFrom())
				}
				sockets[c.GetFrom()] -= max(1, c.GetCount())
			}
			for _, end := range c.GetEnds() {
				ends[end.GetConnector()] = true
				if end.GetLengthMm() < standards.SupplyHarnessShortest.Value {
					t.Errorf("%s: a cable of %g mm", id, end.GetLengthMm())
				}
			}
		}
		if s.GetRatedW() > 450 && !ends[standards.Connector12V2x6] {
			t.Errorf("%s is rated above 450 W and has no 12V-2x6 plug", id)
		}
		for _, rail := range s.GetRails() {
			if rail.GetRail() == "12v" && math.Abs(12*rail.GetCurrentA()-s.GetRatedW()) > 0.05*s.GetRatedW() {
				t.Errorf("%s: %g A at 12 V in a supply of %g W", id, rail.GetCurrentA(), s.GetRatedW())
			}
		}
		for _, point := range s.GetEfficiencies() {
			least, err := standards.EfficiencyAt(strings.TrimPrefix(s.GetEfficiencyMark(), "80plus-"), point.GetMainsV(), point.GetLoadShare())
			if err != nil {
				t.Fatal(err)
			}
			if !least.Clamped && point.GetEfficiency() < least.Share {
				t.Errorf("%s: efficiency %g at %g, its mark asks for %g", id, point.GetEfficiency(), point.GetLoadShare(), least.Share)
			}
		}
	}
}

// Cards draw what slot and plugs bring (card electromechanical specification and design guide 336521, table 3-5), are as
// thick as the brackets they take, and as tall as their kind.
func TestCardsKeepToTheirSlots(t *testing.T) {
	for _, e := range catalogue(t) {
		c := e.part.GetCard()
		if c == nil {
			continue
		}
		id := e.part.GetId()
		var plugs []string
		for _, s := range c.GetPowerSockets() {
			for range max(1, s.GetCount()) {
				plugs = append(plugs, s.GetConnector())
			}
			if s.GetAt().GetYMm() > c.GetLengthMm() || s.GetAt().GetZMm() > c.GetHeightMm() || s.GetAt().GetXMm() > c.GetThicknessMm() {
				t.Errorf("%s: the socket %s does not lie on the card", id, s.GetConnector())
			}
		}
		budget, err := standards.CardBudgetFor(plugs...)
		if err != nil {
			t.Fatal(err)
		}
		if c.GetDemand().GetSustainedW() > budget.Watt {
			t.Errorf("%s draws %g W, slot and plugs bring %g W", id, c.GetDemand().GetSustainedW(), budget.Watt)
		}
		width, err := standards.CardWidthBySlots(int(c.GetSlots()))
		if err != nil {
			t.Fatal(err)
		}
		if c.GetThicknessMm() > width.OpeningMM || c.GetThicknessMm() <= width.OpeningMM-standards.SlotPitch.Value {
			t.Errorf("%s is %g mm thick and takes %d slots of %g mm in all", id, c.GetThicknessMm(), c.GetSlots(), width.OpeningMM)
		}
		if len(e.part.GetJoints()) != 1 || e.part.GetJoints()[0].GetCount() != c.GetSlots() {
			t.Errorf("%s: one bracket screw a slot is the custom", id)
		}
	}
}

// Modules are at least as tall as the bare outline of the standard, 31.25 mm (JEDEC MO-309, MO-329).
func TestMemoryIsNoLowerThanBare(t *testing.T) {
	for _, e := range catalogue(t) {
		if m := e.part.GetMemory(); m != nil && (m.GetHeightMm() < 31.25 || m.GetHeightMm() > 55) {
			t.Errorf("%s is %g mm tall", e.part.GetId(), m.GetHeightMm())
		}
	}
}

// No drive reads faster than its link: PCI Express 8, 16, 32 GT/s a lane with 128b/130b coding, SATA 6 Gb/s with 8b/10b.
func TestDrivesReadNoFasterThanTheirLink(t *testing.T) {
	for _, e := range catalogue(t) {
		d := e.part.GetDrive()
		if d == nil {
			continue
		}
		limit := 6.0 * 8 / 10 / 8
		if d.GetBus() == "pcie" {
			limit = math.Exp2(float64(d.GetGeneration())) * float64(d.GetLanes()) * 128 / 130 / 8
		}
		if d.GetReadGbs() > limit {
			t.Errorf("%s reads %g GB/s over a link of %.3f GB/s", e.part.GetId(), d.GetReadGbs(), limit)
		}
		if (d.GetFormFactor() == "m2") != (d.M2Size != nil) || (d.GetFormFactor() == "m2") == (len(d.GetPowerSockets()) > 0) {
			t.Errorf("%s: M.2 drives have a size code and no power socket, others the reverse", e.part.GetId())
		}
	}
}

// Coolers are of the range from low profile to twin tower and weigh what their metal weighs: 0.25 to 1.2 g/cm3 of the box
// round them (common practice, no source).
func TestCoolersWeighWhatTheyShould(t *testing.T) {
	for _, e := range catalogue(t) {
		c := e.part.GetAirCooler()
		if c == nil || e.part.MassG == nil {
			continue
		}
		density := e.part.GetMassG() / (c.GetHeightMm() * c.GetWidthMm() * c.GetDepthMm() / 1000)
		if c.GetHeightMm() < 37 || c.GetHeightMm() > 170 || density < 0.25 || density > 1.2 {
			t.Errorf("%s: %g mm tall, %.2f g/cm3", e.part.GetId(), c.GetHeightMm(), density)
		}
	}
}
