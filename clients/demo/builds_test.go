package demo

import (
	"slices"
	"testing"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/standards"
)

// What a build is to show follows from its figures by plain arithmetic, without any rule of the service: these tests hold
// the data to the comment on top of each build.

func build(t *testing.T, id string) *slipfitv1.Build {
	t.Helper()
	b, ok := builds(t)[id]
	if !ok {
		t.Fatalf("there is no build %q", id)
	}
	return b
}

func item(t *testing.T, b *slipfitv1.Build, id string) *slipfitv1.Part {
	t.Helper()
	for _, i := range b.GetItems() {
		if i.GetId() == id {
			return i.GetPart()
		}
	}
	t.Fatalf("the build %s has no item %q", b.GetId(), id)
	return nil
}

func layout(t *testing.T, b *slipfitv1.Build, id string) *slipfitv1.Layout {
	t.Helper()
	for _, l := range item(t, b, "enclosure").GetChassis().GetLayouts() {
		if l.GetId() == id {
			return l
		}
	}
	t.Fatalf("the enclosure of %s has no layout %q", b.GetId(), id)
	return nil
}

// demand sums what all items draw at full load, in W.
func demand(b *slipfitv1.Build) float64 {
	sum := 0.0
	for _, i := range b.GetItems() {
		p, n := i.GetPart(), float64(max(1, i.GetCount()))
		w := p.GetProcessor().GetDemand().GetSustainedW() + p.GetCard().GetDemand().GetSustainedW() +
			p.GetBoard().GetDemand().GetSustainedW() + p.GetDrive().GetDemand().GetSustainedW()
		w += float64(max(1, p.GetMemory().GetModules())) * p.GetMemory().GetDemand().GetSustainedW()
		w += 12*p.GetFan().GetCurrentA() + p.GetLiquidLoop().GetPumpPowerW()
		sum += n * w
	}
	return sum
}

// provided counts the pieces of one token in all boxes of a build.
func provided(b *slipfitv1.Build, token string) uint32 {
	var sum uint32
	for _, i := range b.GetItems() {
		n := max(1, i.GetCount())
		if slices.Contains(i.GetPart().GetAccessory().GetProvides(), token) {
			sum += n
		}
		for _, piece := range i.GetPart().GetKit().GetPieces() {
			if piece.GetProvides() == token {
				sum += n * max(1, piece.GetCount())
			}
		}
	}
	return sum
}

// cardHeights are the card's lowest and highest place in the layout with the card below, for an offset of the board. The
// back of a card lies 2.67 mm above the slot's centreline (card electromechanical specification, from memory).
func cardHeights(t *testing.T, b *slipfitv1.Build, offset float64) (low, high float64) {
	t.Helper()
	for _, m := range layout(t, b, "card-below").GetMounts() {
		if m.GetKind() == slipfitv1.MountKind_MOUNT_KIND_BOARD {
			high = m.GetPoses()[0].GetOrigin().GetZMm() - offset - standards.FirstSlotCentreX.Value + 2.67
		}
	}
	return high - item(t, b, "card").GetCard().GetThicknessMm(), high
}

// plugsEnd is how far down a supply's plugs reach in the layout with the card below.
func plugsEnd(t *testing.T, b *slipfitv1.Build, supply *slipfitv1.Part) float64 {
	t.Helper()
	for _, m := range layout(t, b, "card-below").GetMounts() {
		if slices.Contains(m.GetFormFactors(), supply.GetSupply().GetFormFactor()) {
			longest := 0.0
			for _, c := range supply.GetSupply().GetCables() {
				longest = max(longest, c.GetPlugMm())
			}
			return m.GetPoses()[0].GetOrigin().GetZMm() - supply.GetSupply().GetLengthMm() - longest
		}
	}
	t.Fatalf("no mount of the layout takes %s", supply.GetId())
	return 0
}

// free are the offsets of the board at which a card goes between plugs above and fans of some thickness below.
func free(t *testing.T, b *slipfitv1.Build, supply *slipfitv1.Part, fans float64) []float64 {
	t.Helper()
	var board, card *slipfitv1.Mount
	for _, m := range layout(t, b, "card-below").GetMounts() {
		switch m.GetId() {
		case "board":
			board = m
		case "card-slots":
			card = m
		}
	}
	floor := max(fans, card.GetSpace().GetCorner().GetZMm())
	var found []float64
	for _, offset := range board.GetTravels()[0].GetOffsetsMm() {
		if low, high := cardHeights(t, b, offset); low >= floor && high <= plugsEnd(t, b, supply) {
			found = append(found, offset)
		}
	}
	return found
}

func TestEditorIsTightInOnePlace(t *testing.T) {
	b := build(t, "archive-editor")
	limits := layout(t, b, "card-below").GetLimits()
	cooler, card := item(t, b, "cooler").GetAirCooler(), item(t, b, "card").GetCard()
	if cooler.GetHeightMm() != limits.GetCoolerHeightMm() {
		t.Errorf("the cooler of %g mm is not at the limit of %g mm", cooler.GetHeightMm(), limits.GetCoolerHeightMm())
	}
	// 3 mm: more than two figures together may be off.
	for what, room := range map[string]float64{
		"card length":    limits.GetCardLengthMm() - card.GetLengthMm(),
		"card height":    limits.GetCardHeightMm() - card.GetHeightMm(),
		"card thickness": limits.GetCardThicknessMm() - card.GetThicknessMm(),
		"supply length":  limits.GetSupplyLengthMm() - item(t, b, "supply").GetSupply().GetLengthMm(),
		"memory":         cooler.GetMemoryClearanceMm() - item(t, b, "memory").GetMemory().GetHeightMm(),
		// Rear wall to the middle of the socket, less half the cooler and the rear fan.
		"rear fan": 2.1 + item(t, b, "board").GetBoard().GetSocketCentre().GetYMm() - cooler.GetDepthMm()/2 - item(t, b, "rear-fan").GetFan().GetThicknessMm(),
	} {
		if room < 3 {
			t.Errorf("%s: %.1f mm to spare", what, room)
		}
	}
	if load, rating := demand(b), item(t, b, "supply").GetSupply().GetRatedW(); load > 0.7*rating {
		t.Errorf("%.0f W of %.0f W: not quiet", load, rating)
	}
	// Every fan has a header of its own, and every fan a speed.
	var headers uint32
	for _, h := range item(t, b, "board").GetBoard().GetHeaders() {
		if h.GetKind() == "fan-4" {
			headers += max(1, h.GetCount())
		}
	}
	if fans := uint32(1 + 1 + 2); headers < fans {
		t.Errorf("%d headers for %d fans", headers, fans)
	}
	for _, i := range b.GetItems() {
		set := slices.ContainsFunc(b.GetUse().GetFans(), func(s *slipfitv1.FanSetting) bool { return s.GetItem() == i.GetId() })
		if has := len(fansOf(i.GetPart())) > 0; has != set {
			t.Errorf("%s has fans: %v, has a speed: %v", i.GetId(), has, set)
		}
	}
}

func TestOverreachFailsThreeTimes(t *testing.T) {
	b := build(t, "archive-overreach")
	longest := 0.0
	for _, l := range item(t, b, "enclosure").GetChassis().GetLayouts() {
		longest = max(longest, l.GetLimits().GetCardLengthMm())
	}
	if card := item(t, b, "card").GetCard(); card.GetLengthMm() <= longest {
		t.Errorf("a card of %g mm goes in: clearance has nothing to find", card.GetLengthMm())
	}
	supply, cable := item(t, b, "supply").GetSupply(), item(t, b, "card-cable").GetCable()
	if demand(b) <= supply.GetRatedW() || cable.GetPinout() == supply.GetPinout() {
		t.Errorf("%.0f W of %g W, pin-outs %s and %s: power has nothing to find", demand(b), supply.GetRatedW(), cable.GetPinout(), supply.GetPinout())
	}
	socket := item(t, b, "board").GetBoard().GetSocket()
	for _, bracket := range item(t, b, "cooler").GetAirCooler().GetBrackets() {
		if slices.Contains(bracket.GetSockets(), socket) && provided(b, bracket.GetNeeds()) > 0 {
			t.Errorf("%s is in a box: mounting has nothing to find", bracket.GetNeeds())
		}
	}
}

func TestDraftHasItsHoles(t *testing.T) {
	b := build(t, "archive-draft")
	processor, cooler := item(t, b, "processor").GetProcessor(), item(t, b, "cooler").GetAirCooler()
	if processor.GetDemand().SustainedW != nil || processor.LimitC != nil || cooler.HeightMm != nil || b.GetRoom().TemperatureC != nil {
		t.Error("a figure that is to be missing is there")
	}
	if processor.GetSocket() != item(t, b, "board").GetBoard().GetSocket() {
		t.Error("the draft fails where it is to be unknown: the sockets differ")
	}
}

func TestSecondRadiatorLacksABracket(t *testing.T) {
	b := build(t, "second-radiator")
	needed := uint32(0)
	for _, p := range b.GetArrangement().GetPlacements() {
		if part := item(t, b, p.GetItem()); part.GetLiquidLoop() != nil || part.GetRadiator() != nil {
			for _, m := range layout(t, b, "card-below").GetMounts() {
				if m.GetId() == p.GetMount() && slices.Contains(m.GetNeeds(), "radiator-bracket") {
					needed++
				}
			}
		}
	}
	if has := provided(b, "radiator-bracket"); needed != 2 || has != 1 {
		t.Errorf("%d brackets needed, %d in the boxes; 2 and 1 are to be shown", needed, has)
	}
}

func TestLongSupplyCostsAStepAndABracket(t *testing.T) {
	b := build(t, "long-supply")
	if got := free(t, b, item(t, b, "supply"), 0); !slices.Equal(got, []float64{20.32}) {
		t.Errorf("the card goes in at the offsets %v, not at 20.32 alone", got)
	}
	if provided(b, "supply-bracket-atx") != 0 {
		t.Error("the bracket is in a box")
	}
}

func TestUprightCardTakesTheCoolersHeight(t *testing.T) {
	b := build(t, "upright-card")
	height := item(t, b, "cooler").GetAirCooler().GetHeightMm()
	for _, l := range item(t, b, "enclosure").GetChassis().GetLayouts() {
		if fits := height <= l.GetLimits().GetCoolerHeightMm(); fits == (l.GetId() == "card-upright") {
			t.Errorf("cooler of %g mm in the layout %s: fits %v", height, l.GetId(), fits)
		}
	}
	if provided(b, "riser-x16") == 0 {
		t.Error("there is no riser")
	}
}

func TestFansUnderTheCardFitInOnePosition(t *testing.T) {
	b := build(t, "fans-under-card")
	fans := item(t, b, "bottom-fans").GetFan().GetThicknessMm()
	if got := free(t, b, item(t, b, "supply"), fans); !slices.Equal(got, []float64{0}) {
		t.Errorf("the card goes in at the offsets %v, not at 0 alone", got)
	}
	if low, _ := cardHeights(t, b, 0); low-fans < 15 || low-fans > 20 {
		t.Errorf("%.1f mm between fans and card, not about 17", low-fans)
	}
}

func TestNoArrangementHasTwoWaysOut(t *testing.T) {
	b := build(t, "no-arrangement")
	supply, fans := item(t, b, "supply"), item(t, b, "bottom-fans").GetFan().GetThicknessMm()
	if got := free(t, b, supply, fans); len(got) > 0 {
		t.Errorf("all goes together at the offsets %v", got)
	}
	if provided(b, "supply-bracket-atx") == 0 {
		t.Error("the bracket is missing: the build fails for another reason")
	}
	for _, l := range item(t, b, "enclosure").GetChassis().GetLayouts() {
		if l.GetId() != "card-below" && slices.Contains(l.GetLimits().GetSupplyFormFactors(), supply.GetSupply().GetFormFactor()) {
			t.Errorf("the layout %s takes the supply, too", l.GetId())
		}
	}
	if len(free(t, b, supply, 15)) == 0 || len(free(t, b, part(t, "leiselauf-850"), fans)) == 0 || len(free(t, b, supply, 0)) == 0 {
		t.Error("one of the two changes does not help, or a pair alone is too much already")
	}
}

func TestFrontDeskAndListeningRoomAreServed(t *testing.T) {
	for id, needs := range map[string][]string{
		"front-desk":     {"riser-x16", "bracket-am5", "mains-lead-internal"},
		"listening-room": {"supply-bracket-atx", "bracket-am5"},
	} {
		b := build(t, id)
		for _, token := range needs {
			if provided(b, token) == 0 {
				t.Errorf("%s: nothing provides %s", id, token)
			}
		}
		if load, rating := demand(b), item(t, b, "supply").GetSupply().GetRatedW(); load > 0.6*rating {
			t.Errorf("%s: %.0f W of %.0f W", id, load, rating)
		}
	}
}
