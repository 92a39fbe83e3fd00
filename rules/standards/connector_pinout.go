package standards

import (
	"fmt"
	"slices"
)

// Signals of power connectors that are no rails.
const (
	SignalGround = "COM"
	SignalNone   = "NC"
)

// Pinout is a connector's pins in order: Signals[0] belongs to pin 1.
type Pinout struct {
	// Connector is the token.
	Connector string
	// Signals are rails, COM, NC, or the standard's signal names.
	Signals []string
	// Source is that of the row.
	Source Source
}

// repeat returns a signal n times.
func repeat(signal string, n int) []string { return slices.Repeat([]string{signal}, n) }

var pinouts = []Pinout{
	{ConnectorMain24, []string{
		Rail3V3, Rail3V3, SignalGround, Rail5V, SignalGround, Rail5V, SignalGround, "PWR_OK", RailStandby, Rail12V, Rail12V, Rail3V3,
		Rail3V3, RailMinus12, SignalGround, "PS_ON#", SignalGround, SignalGround, SignalGround, SignalNone, Rail5V, Rail5V, Rail5V, SignalGround,
	}, srcMainPins},
	{ConnectorCPU4, slices.Concat(repeat(SignalGround, 2), repeat(Rail12V, 2)), srcCPU4},
	{ConnectorPCIe6, slices.Concat(repeat(Rail12V, 3), []string{SignalGround, "SENSE", SignalGround}), srcAux6},
	{ConnectorPCIe8, slices.Concat(repeat(Rail12V, 3), []string{"SENSE1", SignalGround, "SENSE0", SignalGround, SignalGround}), srcAux8},
	{Connector12VHPWR, slices.Concat(repeat(Rail12V, 6), repeat(SignalGround, 6),
		[]string{"CARD_PWR_STABLE", "CARD_CBL_PRES#", "SENSE0", "SENSE1"}), srcAux16},
	{ConnectorSATA, slices.Concat(repeat(Rail3V3, 3), repeat(SignalGround, 3), repeat(Rail5V, 3),
		[]string{SignalGround, "reserved", SignalGround}, repeat(Rail12V, 3)), srcSATAPower},
	{ConnectorPeripheral4, []string{Rail12V, SignalGround, SignalGround, Rail5V}, srcPeripheral},
}

// Pinouts returns the pin tables.
func Pinouts() []Pinout {
	out := slices.Clone(pinouts)
	for i := range out {
		out[i].Signals = slices.Clone(out[i].Signals)
	}
	return out
}

// PinoutOf returns a connector's pin table.
func PinoutOf(connector string) (Pinout, error) {
	for _, p := range pinouts {
		if p.Connector == connector {
			p.Signals = slices.Clone(p.Signals)
			return p, nil
		}
	}
	if Known(VocabConnector, connector) {
		return Pinout{}, fmt.Errorf("no pin table is known for connector %s; give the cable's own pin table", connector)
	}
	return Pinout{}, unknown(VocabConnector, connector)
}
