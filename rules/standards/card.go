package standards

import (
	"fmt"
	"slices"
)

const cardSpec = "PCI Express card electromechanical specification"

var (
	srcCardHeight  = drawings("cem-card-height", "card drawings after the "+cardSpec, "full height", 2)
	srcCardHeightP = drawings("pci-card-height", "table of PCI card sizes", "full height", 1)
	srcCardLow     = drawings("cem-low-profile", "table of PCI Express card sizes", "low-profile height", 1)
	srcCardLowPCI  = drawings("pci-low-profile", "tables of PCI card sizes", "low-profile height and lengths", 2)
	srcCardLength  = drawings("cem-card-length", "tables of card sizes", "full and half length", 2)
	srcBracket     = drawings("bracket-drawing", "card bracket drawing", "tab, window and screw slot", 1)
	srcBracketLow  = drawings("bracket-low-profile", "table of PCI card sizes", "low-profile bracket", 1)
	srcSlotWidth   = register("slot-width-derived", "ATX family board drawings", "multiples of the slot pitch", Derived)
	srcComponent   = register("cem-component-height", cardSpec, "component heights", Memory)
	srcSlotPower   = register("cem-slot-power", cardSpec, "slot power, as quoted in an expansion chassis manual", Published)
	srcLowPower    = drawings("cem-1.1-low-profile", cardSpec+" 1.1", "low-profile card power, as quoted", 1)
	srcCardMax     = register("cem-5.0-card-power", cardSpec+" 5.0", "card power, as quoted in the ATX 3.0 design guide, section 3", Published)
	srcLinkRate    = register("pcie-rates", "PCI Express base specification", "rate and coding by generation, as tabled", Published)
	srcLinkFlit    = register("pcie-6-flit", "PCI Express base specification 6", "rate less the 242/256 flit overhead", Derived)
	srcLinkMin     = register("pcie-negotiation", "PCI Express base specification", "the link trains to what both ends have", Derived)
)

// Figures of expansion cards and brackets.
var (
	// CardFullHeight includes the edge; CardFullHeightPCI is the older figure.
	CardFullHeight    = figure("card full height", 111.15, "mm", srcCardHeight)
	CardFullHeightPCI = figure("conventional PCI card full height", 106.68, "mm", srcCardHeightP)
	// CardLowHeight is a low-profile card's height; CardLowHeightPCI that of
	// conventional PCI.
	CardLowHeight    = figure("low-profile card height", 68.90, "mm", srcCardLow)
	CardLowHeightPCI = figure("conventional PCI low-profile card height", 64.41, "mm", srcCardLowPCI)
	// CardFullLength and CardHalfLength are the standard lengths.
	CardFullLength = figure("card full length", 312.00, "mm", srcCardLength)
	CardHalfLength = figure("card half length", 167.65, "mm", srcCardLength)
	// CardLowLengthMD1 and CardLowLengthMD2 are the low-profile lengths.
	CardLowLengthMD1 = figure("low-profile card length MD1", 119.91, "mm", srcCardLowPCI)
	CardLowLengthMD2 = figure("low-profile card length MD2", 167.64, "mm", srcCardLowPCI)
	// BracketHeight and BracketLowHeight are overall heights of brackets.
	BracketHeight    = figure("bracket height", 120.02, "mm", srcBracket)
	BracketLowHeight = figure("low-profile bracket height", 79.2, "mm", srcBracketLow)
	// BracketWidth, BracketThickness, BracketZone, BracketWindowHeight,
	// BracketWindowWidth and BracketScrewSlot are the bracket's drawing.
	BracketWidth        = figure("bracket width", 18.42, "mm", srcBracket)
	BracketThickness    = figure("bracket thickness", 0.86, "mm", srcBracket)
	BracketZone         = figure("bracket pitch zone", 21.59, "mm", srcBracket)
	BracketWindowHeight = figure("bracket window height", 89.90, "mm", srcBracket)
	BracketWindowWidth  = figure("bracket window width", 12.06, "mm", srcBracket)
	BracketScrewSlot    = figure("bracket screw slot", 4.42, "mm", srcBracket)
	// SolderSideHeight is the highest component on a card's solder side.
	SolderSideHeight = figure("card solder side component height", 2.67, "mm", srcComponent)
	// CardMaxW is the most one add-in card draws from all sources.
	CardMaxW = figure("add-in card power from all sources", 600, "W", srcCardMax)
	// SlotAmpere12V and SlotAmpere3V3 split a graphics slot's power by rail.
	SlotAmpere12V = figure("x16 slot current on +12 V", 5.5, "A", srcSlotPower)
	SlotAmpere3V3 = figure("x16 slot current on +3.3 V", 3, "A", srcSlotPower)
)

// CardWidth is a card's width in slots.
type CardWidth struct {
	// Slots is the number of slot openings taken.
	Slots int
	// OpeningMM is the width of enclosure opening that they make.
	OpeningMM float64
	// ComponentMM is the highest component on the component side.
	ComponentMM float64
	// Source is that of the opening, ComponentSource of the component height.
	Source, ComponentSource Source
}

var cardWidths = []CardWidth{
	{1, 20.32, 14.47, srcSlotWidth, srcComponent},
	{2, 40.64, 34.79, srcSlotWidth, srcComponent},
	{3, 60.96, 55.11, srcSlotWidth, srcComponent},
	{4, 81.28, 75.43, srcSlotWidth, srcComponent},
}

// CardWidths returns the widths of cards.
func CardWidths() []CardWidth { return slices.Clone(cardWidths) }

// CardWidthBySlots returns the width of a card that takes so many slots.
func CardWidthBySlots(n int) (CardWidth, error) {
	if n < 1 || n > len(cardWidths) {
		return CardWidth{}, fmt.Errorf("a card of %d slots is not in the tables; give 1 to %d slots, or the card's own width", n, len(cardWidths))
	}
	return cardWidths[n-1], nil
}

// SlotPower is what a card may draw through its slot.
type SlotPower struct {
	// Card names the kind of card and its state.
	Card string
	// Watt is the limit.
	Watt float64
	// Source is that of the row.
	Source Source
}

var slotPowers = []SlotPower{
	{"x16 graphics card, configured", 75, srcSlotPower},
	{"card, by default", 25, srcSlotPower},
	{"x1 card at power-up", 10, srcSlotPower},
	{"low-profile card", 25, srcLowPower},
}

// SlotPowers returns the slot power limits; the first is a graphics card's.
func SlotPowers() []SlotPower { return slices.Clone(slotPowers) }

// CardClass is a class of card by its auxiliary connectors.
type CardClass struct {
	// Aux are the connector tokens; none for a card fed by its slot.
	Aux []string
	// Watt is the card's power, slot included.
	Watt float64
	// Source is that of the row.
	Source Source
}

var cardClasses = []CardClass{
	{nil, 75, srcSlotPower},
	{[]string{ConnectorPCIe6}, 150, srcSlotPower},
	{[]string{ConnectorPCIe6, ConnectorPCIe6}, 225, srcSlotPower},
	{[]string{ConnectorPCIe8}, 225, srcSlotPower},
	{[]string{ConnectorPCIe8, ConnectorPCIe6}, 300, srcSlotPower},
	{[]string{ConnectorPCIe8, ConnectorPCIe8}, 375, srcSlotPower},
}

// CardClasses returns the classes that the specification names.
func CardClasses() []CardClass {
	out := slices.Clone(cardClasses)
	for i := range out {
		out[i].Aux = slices.Clone(out[i].Aux)
	}
	return out
}

// CardBudget is what a graphics card may draw in all.
type CardBudget struct {
	// Watt is the sum of slot and connectors, at most [CardMaxW].
	Watt float64
	// Source is the weakest source of the sum.
	Source Source
}

// CardBudgetFor returns slot power plus the sustained power of each auxiliary
// connector that is plugged in, capped at the most one card may draw.
func CardBudgetFor(aux ...string) (CardBudget, error) {
	budget := CardBudget{Watt: slotPowers[0].Watt, Source: slotPowers[0].Source}
	for _, token := range aux {
		limit, err := AuxLimitFor(token)
		if err != nil {
			return CardBudget{}, fmt.Errorf("the card's power cannot be summed: %w", err)
		}
		budget.Watt += limit.SustainedW
		budget.Source = Weaker(budget.Source, limit.Source)
	}
	if budget.Watt > CardMaxW.Value {
		budget = CardBudget{CardMaxW.Value, Weaker(budget.Source, CardMaxW.Source)}
	}
	return budget, nil
}

// LinkGeneration is a generation of PCI Express.
type LinkGeneration struct {
	// Generation counts from 1.
	Generation int
	// GigatransfersPerS is the raw rate of a lane.
	GigatransfersPerS float64
	// Coding names the line coding; CodingShare is the payload's share of it.
	Coding      string
	CodingShare float64
	// Source is that of the row.
	Source Source
}

var linkGenerations = []LinkGeneration{
	{1, 2.5, "8b/10b", 8.0 / 10, srcLinkRate},
	{2, 5, "8b/10b", 8.0 / 10, srcLinkRate},
	{3, 8, "128b/130b", 128.0 / 130, srcLinkRate},
	{4, 16, "128b/130b", 128.0 / 130, srcLinkRate},
	{5, 32, "128b/130b", 128.0 / 130, srcLinkRate},
	{6, 64, "PAM4 with 242B/256B flits", 242.0 / 256, srcLinkFlit},
}

// LinkGenerations returns the generations in order.
func LinkGenerations() []LinkGeneration { return slices.Clone(linkGenerations) }

// Link is one end of a PCI Express link, or the link itself.
type Link struct {
	// Generation counts from 1 to 6.
	Generation int
	// Lanes is 1, 2, 4, 8, 12, 16 or 32.
	Lanes int
}

// String returns the link as the trade writes it, such as "Gen 3 x4".
func (l Link) String() string { return fmt.Sprintf("Gen %d x%d", l.Generation, l.Lanes) }

func (l Link) check() error {
	if l.Generation < 1 || l.Generation > len(linkGenerations) {
		return fmt.Errorf("PCI Express generation %d is not in the tables; give 1 to %d", l.Generation, len(linkGenerations))
	}
	if !slices.Contains([]int{1, 2, 4, 8, 12, 16, 32}, l.Lanes) {
		return fmt.Errorf("PCI Express has no link of %d lanes; give 1, 2, 4, 8, 12, 16 or 32", l.Lanes)
	}
	return nil
}

// GigabytesPerS returns the link's rate in one direction after line coding, in
// units of 10^9 bytes per second.
func (l Link) GigabytesPerS() (float64, error) {
	if err := l.check(); err != nil {
		return 0, err
	}
	g := linkGenerations[l.Generation-1]
	return g.GigatransfersPerS * g.CodingShare / 8 * float64(l.Lanes), nil
}

// LinkSource is the source of [Negotiate].
func LinkSource() Source { return srcLinkMin }

// Negotiate returns the link that two ends train to: the smaller generation and
// the smaller width. For a card in a slot, give the slot's wired lanes.
func Negotiate(a, b Link) (Link, error) {
	for _, end := range []Link{a, b} {
		if err := end.check(); err != nil {
			return Link{}, fmt.Errorf("the link cannot be worked out: %w", err)
		}
	}
	return Link{min(a.Generation, b.Generation), min(a.Lanes, b.Lanes)}, nil
}
