package standards

import (
	"fmt"
	"slices"
)

// Tokens of the power connectors.
const (
	ConnectorMain24      = "main-24"
	ConnectorMain20And4  = "main-20+4"
	ConnectorCPU8        = "cpu-8"
	ConnectorCPU4        = "cpu-4"
	ConnectorCPU4And4    = "cpu-4+4"
	ConnectorPCIe6       = "pcie-6"
	ConnectorPCIe8       = "pcie-8"
	ConnectorPCIe6And2   = "pcie-6+2"
	Connector12V2x6      = "12v-2x6"
	Connector12VHPWR     = "12vhpwr"
	ConnectorSATA        = "sata-power"
	ConnectorPeripheral4 = "peripheral-4"
	ConnectorFloppy4     = "floppy-4"
)

var (
	srcMainPins   = drawings("main-24-pinout", "24-pin main connector pin tables", "microATX specification 1.2, page 19, and a pin table", 2)
	srcTerminals  = register("handbook-ch18", "handbook of personal computer hardware", "chapter 18, power connector terminals", Published)
	srcCPU4       = register("atx3-table5-8", multiRail, "table 5-8", Published)
	srcCPU8       = register("cpu-8-derived", "handbook of personal computer hardware", "chapter 18, twice the 4-pin processor connector", Derived)
	srcAux6       = register("atx3-table5-4", multiRail, "table 5-4", Published)
	srcAux6Rating = register("atx3-5.2.2.4.1", multiRail, "section 5.2.2.4.1", Published)
	srcAux8       = register("atx3-table5-5", multiRail, "tables 5-5 and 5-6", Published)
	srcAux8Rating = register("aux-8-rating", "2x4 auxiliary connector", "contact rating as the 2x3 connector", Memory)
	srcAux16      = register("atx3-table5-7", multiRail, "table 5-7", Published)
	srcAux16Gauge = register("atx3-sec2.2.1", multiRail, "section 2.2.1 and table 5-7", Published)
	srcSATAPower  = drawings("sata-power-contacts", "Serial ATA specification", "power connector, as two pages quote it", 2)
	srcSATAWatts  = register("sata-power-derived", "Serial ATA specification", "power connector, three contacts a rail", Derived)
	srcPeripheral = register("peripheral-4", "encyclopaedia of connectors", "4-pin peripheral power connector", Published)
	srcFloppy     = register("floppy-4-memory", "4-pin floppy power connector", "contacts and rating", Memory)
	srcPlugMemory = register("plug-memory", "split plugs of supply cables", "construction", Memory)
)

// Contacts is the number of contacts of a connector that carry one rail.
type Contacts struct {
	// Rail is one of the rails of a supply.
	Rail string
	// Count is the number of contacts.
	Count int
}

// Connector is a power connector of a supply, a cable, a board or a card.
type Connector struct {
	// Token and Name are the document's token and the trade's name.
	Token, Name string
	// Pins counts the power positions, SensePins those for signals beside them.
	Pins, SensePins int
	// PitchMM is the contact pitch; 0 where it is not known.
	PitchMM float64
	// Rails are the contacts per supply rail.
	Rails []Contacts
	// Source is that of the row.
	Source Source
}

var (
	mainRails = []Contacts{{Rail12V, 2}, {Rail5V, 5}, {Rail3V3, 4}, {RailStandby, 1}, {RailMinus12, 1}}
	sataRails = []Contacts{{Rail12V, 3}, {Rail5V, 3}, {Rail3V3, 3}}
	driveRail = []Contacts{{Rail12V, 1}, {Rail5V, 1}}
)

func twelve(n int) []Contacts { return []Contacts{{Rail12V, n}} }

var connectors = []Connector{
	{ConnectorMain24, "24-pin main", 24, 0, 4.2, mainRails, srcMainPins},
	{ConnectorMain20And4, "20+4-pin main plug", 24, 0, 4.2, mainRails, srcPlugMemory},
	{ConnectorCPU8, "8-pin processor", 8, 0, 4.2, twelve(4), srcCPU8},
	{ConnectorCPU4, "4-pin processor", 4, 0, 4.2, twelve(2), srcCPU4},
	{ConnectorCPU4And4, "4+4-pin processor plug", 8, 0, 4.2, twelve(4), srcPlugMemory},
	{ConnectorPCIe6, "2x3 auxiliary", 6, 0, 4.2, twelve(3), srcAux6},
	{ConnectorPCIe8, "2x4 auxiliary", 8, 0, 4.2, twelve(3), srcAux8},
	{ConnectorPCIe6And2, "6+2-pin auxiliary plug", 8, 0, 4.2, twelve(3), srcPlugMemory},
	{Connector12V2x6, "12V-2x6", 12, 4, 3.0, twelve(6), srcAux16},
	{Connector12VHPWR, "12VHPWR", 12, 4, 3.0, twelve(6), srcAux16},
	{ConnectorSATA, "SATA power", 15, 0, 0, sataRails, srcSATAPower},
	{ConnectorPeripheral4, "4-pin peripheral", 4, 0, 0, driveRail, srcPeripheral},
	{ConnectorFloppy4, "4-pin floppy", 4, 0, 0, driveRail, srcFloppy},
}

// Connectors returns the power connectors.
func Connectors() []Connector {
	out := slices.Clone(connectors)
	for i := range out {
		out[i].Rails = slices.Clone(out[i].Rails)
	}
	return out
}

// ConnectorByToken returns one power connector, or an [UnknownTokenError].
func ConnectorByToken(token string) (Connector, error) {
	i := slices.IndexFunc(connectors, func(c Connector) bool { return c.Token == token })
	if i < 0 {
		return Connector{}, unknown(VocabConnector, token)
	}
	c := connectors[i]
	c.Rails = slices.Clone(c.Rails)
	return c, nil
}

// ContactsOn returns how many contacts carry a rail; 0 where none does.
func (c Connector) ContactsOn(rail string) int {
	for _, r := range c.Rails {
		if r.Rail == rail {
			return r.Count
		}
	}
	return 0
}

// Terminals of the 4.2 mm family, for [ContactRatingFor]. The zero value asks
// for the lowest rating of the connector.
const (
	TerminalLowest   = ""
	TerminalStandard = "standard"
	TerminalHCS      = "hcs"
	TerminalPlus     = "plus"
)

// ContactRating is the current that one contact of a connector carries with all
// contacts of its rail in use.
type ContactRating struct {
	// Connector is the token; Terminal the terminal, or "" where there is one.
	Connector, Terminal string
	// Ampere is per contact.
	Ampere float64
	// Source is that of the row.
	Source Source
}

var contactRatings = []ContactRating{
	{ConnectorMain24, TerminalStandard, 6, srcTerminals},
	{ConnectorMain24, TerminalHCS, 9, srcTerminals},
	{ConnectorMain24, TerminalPlus, 11, srcTerminals},
	{ConnectorMain20And4, TerminalStandard, 6, srcTerminals},
	{ConnectorMain20And4, TerminalHCS, 9, srcTerminals},
	{ConnectorMain20And4, TerminalPlus, 11, srcTerminals},
	{ConnectorCPU4, TerminalStandard, 8, srcTerminals},
	{ConnectorCPU4, TerminalHCS, 11, srcTerminals},
	{ConnectorCPU4, TerminalPlus, 12, srcTerminals},
	{ConnectorCPU8, TerminalStandard, 8, srcCPU8},
	{ConnectorCPU8, TerminalHCS, 11, srcCPU8},
	{ConnectorCPU4And4, TerminalStandard, 8, srcCPU8},
	{ConnectorCPU4And4, TerminalHCS, 11, srcCPU8},
	{ConnectorPCIe6, "", 8.0, srcAux6Rating},
	{ConnectorPCIe8, "", 8.0, srcAux8Rating},
	{ConnectorPCIe6And2, "", 8.0, srcAux8Rating},
	{Connector12VHPWR, "", 9.2, srcGuideAux},
	{Connector12V2x6, "", 9.2, srcGuideAux},
	{ConnectorSATA, "", 1.5, srcSATAPower},
	{ConnectorPeripheral4, "", 11, srcPeripheral},
	{ConnectorFloppy4, "", 2, srcFloppy},
}

// ContactRatings returns the ratings of contacts.
func ContactRatings() []ContactRating { return slices.Clone(contactRatings) }

// ContactRatingFor returns the rating of a connector with a terminal;
// [TerminalLowest] asks for the lowest one, which holds for any terminal.
func ContactRatingFor(connector, terminal string) (ContactRating, error) {
	if !Known(VocabConnector, connector) {
		return ContactRating{}, unknown(VocabConnector, connector)
	}
	var known []string
	for _, r := range contactRatings {
		if r.Connector != connector {
			continue
		}
		if r.Terminal == terminal || terminal == TerminalLowest {
			return r, nil // rows of a connector ascend
		}
		known = append(known, fmt.Sprintf("%q", r.Terminal))
	}
	return ContactRating{}, fmt.Errorf("no rating is known for terminal %q of connector %s; known terminals: %v", terminal, connector, known)
}

// RailCapacity is what a connector carries on one rail.
type RailCapacity struct {
	// Ampere and Watt are the totals at the rail's nominal voltage.
	Ampere, Watt float64
	// Source is that of the contact rating, or of the pin table where weaker.
	Source Source
}

// RailCapacityFor returns contacts times rating times nominal voltage.
func RailCapacityFor(connector, terminal, rail string) (RailCapacity, error) {
	c, err := ConnectorByToken(connector)
	if err != nil {
		return RailCapacity{}, err
	}
	n := c.ContactsOn(rail)
	if n == 0 {
		return RailCapacity{}, fmt.Errorf("connector %s carries no %s; give a rail that it carries", connector, rail)
	}
	rating, err := ContactRatingFor(connector, terminal)
	if err != nil {
		return RailCapacity{}, err
	}
	limit, err := RailLimitFor(GuideATX3, rail)
	if err != nil {
		return RailCapacity{}, err
	}
	ampere := float64(n) * rating.Ampere
	watt := ampere * limit.NominalV
	if watt < 0 {
		watt = -watt
	}
	return RailCapacity{ampere, watt, Weaker(rating.Source, c.Source)}, nil
}

// ContactAmpere returns the current per contact where totalA amperes share
// some contacts equally.
func ContactAmpere(totalA float64, contacts int) (float64, error) {
	if err := inRange("the current", totalA, 0, maxAmpere, "A"); err != nil {
		return 0, err
	}
	if contacts < 1 {
		return 0, fmt.Errorf("%d contacts cannot carry a current; give a number of contacts from 1", contacts)
	}
	return totalA / float64(contacts), nil
}

// AuxLimit is what an auxiliary connector of a card may draw.
type AuxLimit struct {
	// Connector is the token.
	Connector string
	// SustainedW is the sustained power, MaxRMSA the root mean square current
	// over one second.
	SustainedW, MaxRMSA float64
	// Source is that of the row.
	Source Source
}

var auxLimits = []AuxLimit{
	{ConnectorPCIe6, 75, 6.75, srcGuideCard},
	{ConnectorPCIe8, 150, 13.5, srcGuideCard},
	{Connector12VHPWR, 600, 55, srcGuideCard},
	{Connector12V2x6, 600, 55, srcGuideCard},
}

// AuxLimits returns the limits of auxiliary connectors.
func AuxLimits() []AuxLimit { return slices.Clone(auxLimits) }

// AuxLimitFor returns the limit of one auxiliary connector of a card.
func AuxLimitFor(connector string) (AuxLimit, error) {
	for _, a := range auxLimits {
		if a.Connector == connector {
			return a, nil
		}
	}
	if Known(VocabConnector, connector) {
		return AuxLimit{}, fmt.Errorf("connector %s is no auxiliary connector of a card; give %s, %s, %s or %s",
			connector, ConnectorPCIe6, ConnectorPCIe8, Connector12VHPWR, Connector12V2x6)
	}
	return AuxLimit{}, unknown(VocabConnector, connector)
}
