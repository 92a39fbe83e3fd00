package standards

import (
	"fmt"
	"slices"
)

var (
	srcMateSplit  = register("plug-split", "split plugs join to the larger connector", "", CommonPractice)
	srcMateNone   = register("plug-keys", "connector pin tables", "different contacts and keys", Derived)
	srcMateMemory = register("plug-mating-memory", "fit of unlike plugs", "", Memory)
	srcSense51    = register("cem-5.1-sense", "PCI Express card electromechanical specification 5.1", "sense coding of 12V-2x6", Memory)
	srcSense50    = register("cem-5.0-sense", "PCI Express card electromechanical specification 5.0", "sense coding of 12VHPWR", Memory)
	srcPlugBend   = register("12v-2x6-bend", "bend of 12V-2x6 cables", "distance of the first bend", Memory)
	srcAuxSlew    = register("atx3-table3-5-slew", multiRail, "table 3-5, slew rate", Published)
)

// Mating tells whether a cable's plug goes into a socket.
type Mating struct {
	// Plug and Socket are tokens.
	Plug, Socket string
	// Fits is true where the plug may be used in the socket.
	Fits bool
	// Partial is true where it leaves contacts of the socket empty.
	Partial bool
	// SustainedW is what the socket may draw through a partial plug; 0 where
	// the socket's own limit holds.
	SustainedW float64
	// Reason is a sentence for a finding; Caution is set where a forced or
	// mistaken plug can hurt somebody or destroy a part.
	Reason, Caution string
	// Source is that of the row.
	Source Source
}

const cautionReversed = "Do not force it: the 12 V and ground contacts lie the other way round, and a forced plug shorts the supply."

var matings = []Mating{
	{ConnectorMain20And4, ConnectorMain24, true, false, 0, "both halves of a 20+4-pin plug fill the 24-pin socket", "", srcMateSplit},
	{ConnectorCPU4And4, ConnectorCPU8, true, false, 0, "both halves of a 4+4-pin plug fill the 8-pin processor socket", "", srcMateSplit},
	{ConnectorCPU4And4, ConnectorCPU4, true, false, 0, "one half of a 4+4-pin plug fills the 4-pin processor socket", "", srcMateSplit},
	{ConnectorCPU4, ConnectorCPU8, true, true, 192, "a 4-pin plug fills half of the 8-pin processor socket, so that only half its contacts carry current", "", srcMateMemory},
	{ConnectorCPU8, ConnectorCPU4, false, false, 0, "a one-piece 8-pin plug is wider than the 4-pin processor socket", "", srcMateMemory},
	{ConnectorPCIe6And2, ConnectorPCIe8, true, false, 0, "both halves of a 6+2-pin plug fill the 2x4 socket", "", srcMateSplit},
	{ConnectorPCIe6And2, ConnectorPCIe6, true, false, 0, "the larger half of a 6+2-pin plug fills the 2x3 socket", "", srcMateSplit},
	{ConnectorPCIe6, ConnectorPCIe8, true, true, 75, "a 2x3 plug in a 2x4 socket leaves Sense1 open, which allows 75 W", "", srcAux8},
	{ConnectorPCIe8, ConnectorPCIe6, false, false, 0, "a one-piece 2x4 plug is wider than the 2x3 socket", "", srcMateMemory},
	{Connector12VHPWR, Connector12V2x6, true, false, 0, "a 12VHPWR plug goes into a 12V-2x6 socket, whose sense coding holds", "", srcSense51},
	{Connector12V2x6, Connector12VHPWR, true, false, 0, "a 12V-2x6 plug goes into a 12VHPWR socket, whose sense coding holds", "", srcSense51},
	{ConnectorCPU8, ConnectorPCIe8, false, false, 0, "a processor plug does not belong in an auxiliary socket", cautionReversed, srcMateNone},
	{ConnectorCPU4And4, ConnectorPCIe8, false, false, 0, "a processor plug does not belong in an auxiliary socket", cautionReversed, srcMateNone},
	{ConnectorPCIe8, ConnectorCPU8, false, false, 0, "an auxiliary plug does not belong in a processor socket", cautionReversed, srcMateNone},
	{ConnectorPCIe6And2, ConnectorCPU8, false, false, 0, "an auxiliary plug does not belong in a processor socket", cautionReversed, srcMateNone},
	{ConnectorCPU4, ConnectorPCIe6, false, false, 0, "a processor plug does not belong in an auxiliary socket", cautionReversed, srcMateNone},
}

// Matings returns the pairs of unlike plug and socket that are known.
func Matings() []Mating { return slices.Clone(matings) }

// MatingOf tells whether a plug goes into a socket. Equal tokens mate, also
// unknown ones, which compare as text. Different known tokens without a row do
// not mate. An unknown token beside a different one is an [UnknownTokenError].
func MatingOf(plug, socket string) (Mating, error) {
	if plug == socket {
		return Mating{Plug: plug, Socket: socket, Fits: true, Source: srcSameToken,
			Reason: fmt.Sprintf("plug and socket are both %s", plug)}, nil
	}
	for _, m := range matings {
		if m.Plug == plug && m.Socket == socket {
			return m, nil
		}
	}
	for _, token := range []string{plug, socket} {
		if !Known(VocabConnector, token) {
			return Mating{}, fmt.Errorf("plug and socket cannot be compared: %w", unknown(VocabConnector, token))
		}
	}
	return Mating{Plug: plug, Socket: socket, Source: srcMateNone,
		Reason: fmt.Sprintf("a %s plug has other contacts and keys than a %s socket", plug, socket)}, nil
}

// States of a sense contact.
const (
	// SenseGround: the contact is tied to ground.
	SenseGround = "ground"
	// SenseOpen: the contact is left open.
	SenseOpen = "open"
	// SenseTied: Sense0 is tied to Sense1 and to nothing else.
	SenseTied = "tied"
)

// SenseCode is what a card may draw by the state of its sense contacts.
type SenseCode struct {
	// Connector is the token; Sense0 and Sense1 the states.
	Connector, Sense0, Sense1 string
	// SustainedW is the sustained power, InitialW the one at power-up; equal
	// where no other is named. Zero means that the card must not draw any.
	SustainedW, InitialW float64
	// Source is that of the row.
	Source Source
}

var senseCodes = []SenseCode{
	{ConnectorPCIe8, SenseGround, SenseGround, 150, 150, srcAux8},
	{ConnectorPCIe8, SenseGround, SenseOpen, 75, 75, srcAux8},
	{ConnectorPCIe8, SenseOpen, SenseOpen, 0, 0, srcAux8},
	{Connector12VHPWR, SenseGround, SenseGround, 600, 375, srcSense50},
	{Connector12VHPWR, SenseOpen, SenseGround, 450, 225, srcSense50},
	{Connector12VHPWR, SenseGround, SenseOpen, 300, 150, srcSense50},
	{Connector12VHPWR, SenseOpen, SenseOpen, 150, 100, srcSense50},
	{Connector12V2x6, SenseGround, SenseGround, 600, 375, srcSense51},
	{Connector12V2x6, SenseOpen, SenseGround, 450, 225, srcSense51},
	{Connector12V2x6, SenseGround, SenseOpen, 300, 150, srcSense51},
	{Connector12V2x6, SenseTied, SenseTied, 150, 100, srcSense51},
	{Connector12V2x6, SenseOpen, SenseOpen, 0, 0, srcSense51},
}

// SenseCodes returns the sense codings.
func SenseCodes() []SenseCode { return slices.Clone(senseCodes) }

// SenseCodeFor returns the coding of a socket's connector for two states.
func SenseCodeFor(connector, sense0, sense1 string) (SenseCode, error) {
	if !Known(VocabConnector, connector) {
		return SenseCode{}, unknown(VocabConnector, connector)
	}
	for _, s := range senseCodes {
		if s.Connector == connector && s.Sense0 == sense0 && s.Sense1 == sense1 {
			return s, nil
		}
	}
	return SenseCode{}, fmt.Errorf("connector %s has no sense coding for Sense0 %q and Sense1 %q; states are %s, %s and, on %s, %s",
		connector, sense0, sense1, SenseGround, SenseOpen, Connector12V2x6, SenseTied)
}

// Figures of power connectors and their cables.
var (
	// AuxSlew is the steepest current step of a card.
	AuxSlew = figure("auxiliary connector current slew, most", 5, "A/us", srcAuxSlew)
	// AuxRetention is the least force that a 2x3 plug holds.
	AuxRetention = figure("2x3 auxiliary connector retention, least", 30, "N", srcAux6Rating)
	// SATARailWatt12 and SATARailWatt5 are a SATA power plug's rails.
	SATARailWatt12 = figure("SATA power on +12 V", 54, "W", srcSATAWatts)
	SATARailWatt5  = figure("SATA power on +5 V", 22.5, "W", srcSATAWatts)
	// PeripheralPlanned is the current to plan per contact of the 4-pin
	// peripheral connector, below its rating on paper.
	PeripheralPlanned = figure("4-pin peripheral contact, planned", 5, "A", srcPeripheralPlan)
	// HighPowerGauge and HighPowerSenseGauge are the wires of 12VHPWR.
	HighPowerGauge      = figure("12VHPWR power wire gauge", 16, "AWG", srcAux16Gauge)
	HighPowerSenseGauge = figure("12VHPWR sense wire gauge", 28, "AWG", srcAux16Gauge)
	// SupplyGauge is the usual wire for 6 to 8 A per contact.
	SupplyGauge = figure("supply output wire gauge", 18, "AWG", srcAux16Gauge)
	// HighPowerBend is the straight length behind a 12V-2x6 plug;
	// HighPowerBendLow is the shortest that is also named.
	HighPowerBend    = figure("12V-2x6 straight length behind the plug", 35, "mm", srcPlugBend)
	HighPowerBendLow = figure("12V-2x6 straight length behind the plug, shortest named", 30, "mm", srcPlugBend)
)

var srcPeripheralPlan = register("peripheral-4-derating", "4-pin peripheral power connector", "derating", Memory)
