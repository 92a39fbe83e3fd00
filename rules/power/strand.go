package power

import (
	"slipfit.example/rules/electric"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

// copper is what the wires are made of.
var copper = electric.Metal{OhmMetre: standards.CopperResistivity.Value, PerKelvin: standards.CopperAlpha.Value}

// copperC is the temperature of wires inside a computer in degrees Celsius, for
// their resistance: 18 % between the ends. Common practice, no source.
var copperC = electric.Range{Low: 20, Nominal: 40, High: 65}

// Resistance of one mated contact in ohms, in service and not fresh from the box.
// Common practice, no source; makers of terminals promise 10 milliohms at most.
var (
	ohms42   = electric.Range{Low: 0.002, Nominal: 0.004, High: 0.010} // pitch 4.2 mm
	ohms30   = electric.Range{Low: 0.002, Nominal: 0.003, High: 0.006} // pitch 3.0 mm
	ohmsSATA = electric.Range{Low: 0.005, Nominal: 0.015, High: 0.030}
)

var srcContactOhms = standards.Source{
	ID: "contact-resistance", Title: "resistance of mated power contacts in service", Standing: standards.CommonPractice, Witnesses: 1,
}

// contactOhms is the resistance of one contact of a connector.
func contactOhms(connector string) electric.Range {
	switch {
	case highPower(connector):
		return ohms30
	case connector == standards.ConnectorSATA:
		return ohmsSATA
	}
	return ohms42
}

// Lengths of a cable whose document does not say, in mm: the guide's shortest
// harness, the usual one in small enclosures, and a long one for large enclosures.
var unsaidMM = electric.Range{Low: standards.SupplyHarnessShortest.Value, Nominal: 400, High: 900}

// unsaidStep is the same from one plug of a cable to the next.
var unsaidStep = electric.Range{Low: 50, Nominal: 120, High: 300}

// leastMM keeps a length from being taken for a joint without resistance.
const leastMM = 1

// gaugeOf is the gauge of a cable's wires, and the thinnest and the thickest that
// it may be: where the document does not say, the guide's usual gauge for the
// connector, give or take one trade size of two numbers.
func (s *strand) gaugeOf(plug string) (awg quantity.Range, stated bool) {
	if g := s.lead.cable.GaugeAwg; g != nil {
		return quantity.Exact(float64(*g)), true
	}
	usual := standards.SupplyGauge.Value
	if highPower(plug) {
		usual = standards.HighPowerGauge.Value
	}
	return quantity.Around(usual, 2, 2), false
}

// wiresOn is how many wires of a cable's plug carry a rail. The document's count
// is that of the main rail; the others, and what it does not say, follow the
// connector, whose chained kinds have one wire for each rail and two returns.
func (s *strand) wiresOn(rail int, plug, socket string) int {
	stated := s.lead.cable.PowerWires
	full, mated := connectorContacts(plug, rail), contactsOf(plug, socket, rail)
	switch {
	case mated == 0:
		return 0
	case chained(plug) && rail == ground:
		return 2
	case chained(plug) && (rail != rail12 || stated == nil):
		return 1
	case stated == nil || rail != rail12 && (rail != ground || !onlyTwelve(plug)):
		return mated
	}
	// A half plug leaves half of the wires without a contact.
	return max(1, int(*stated)*mated/full)
}

// wire describes a stretch of a cable for the network.
func (s *strand) wire(plug string, count int, mm electric.Range) electric.Wire {
	awg, _ := s.gaugeOf(plug)
	area := electric.Gauge(awg.Nominal).AreaMM2()
	// A thinner wire is in effect a longer one.
	return electric.Wire{AreaMM2: area, Count: count, TempC: copperC, LengthMM: electric.Range{
		Low:     min(mm.Nominal, mm.Low*area/electric.Gauge(awg.Low).AreaMM2()),
		Nominal: mm.Nominal,
		High:    max(mm.Nominal, mm.High*area/electric.Gauge(awg.High).AreaMM2()),
	}}
}

// toFirst is the length of a cable from its start to an end.
func (s *strand) toFirst(end int) electric.Range {
	if mm := lengthOf(s.lead.cable, end); mm > 0 {
		return electric.Exactly(max(mm, leastMM))
	}
	return unsaidMM
}

// onward is the length from one end of a cable to the next.
func (s *strand) onward(from, to int) electric.Range {
	a, b := lengthOf(s.lead.cable, from), lengthOf(s.lead.cable, to)
	if a > 0 && b > 0 {
		return electric.Exactly(max(b-a, leastMM))
	}
	return unsaidStep
}

// detachable reports whether the cable has contacts at the supply.
func (s *strand) detachable() bool {
	return s.up < 0 && !s.lead.cable.GetCaptive() && s.lead.cable.GetFrom() != ""
}

// Rails by number, and the common return as one more.
const (
	rail12 = iota
	rail5
	rail3
	railStandby
	ground
	railCount = ground
)

var railTokens = [railCount]string{standards.Rail12V, standards.Rail5V, standards.Rail3V3, standards.RailStandby}

// railWords are what documents call the rails, and railNames what people do.
var (
	railWords = [railCount]string{"12v", "5v", "3v3", "5vsb"}
	railNames = [railCount + 1]string{"12 V", "5 V", "3.3 V", "5 V standby", "ground"}
)

// railNumber is the rail that a document's word means; -1 where it means none.
// "12v1", "12v2" and so on are parts of the 12 V rail.
func railNumber(word string) int {
	for i, w := range railWords {
		if word == w {
			return i
		}
	}
	if len(word) == 4 && word[:3] == "12v" && word[3] >= '1' && word[3] <= '9' {
		return rail12
	}
	return -1
}

// onlyTwelve reports whether a connector carries 12 V and its return alone.
func onlyTwelve(connector string) bool { return connectorContacts(connector, rail5) == 0 }

// connectorContacts is how many contacts of a connector carry a rail. The return
// has as many as 12 V where the connector has no other rail; the main connector
// has eight, SATA five and the peripheral ones two.
func connectorContacts(connector string, rail int) int {
	c, known := connectorTable[connector]
	if !known {
		return 0
	}
	return c[rail]
}

// contactsOf is how many contacts of a mated pair carry a rail.
func contactsOf(plug, socket string, rail int) int {
	return min(connectorContacts(plug, rail), connectorContacts(socket, rail))
}

var connectorTable = func() map[string][railCount + 1]int {
	out := map[string][railCount + 1]int{}
	for _, c := range standards.Connectors() {
		var row [railCount + 1]int
		for i, token := range railTokens {
			row[i] = c.ContactsOn(token)
		}
		switch row[ground] = row[rail12]; c.Token {
		case standards.ConnectorMain24, standards.ConnectorMain20And4:
			row[ground] = 8
		case standards.ConnectorSATA:
			row[ground] = 5
		case standards.ConnectorPeripheral4, standards.ConnectorFloppy4:
			row[ground] = 2
		}
		out[c.Token] = row
	}
	return out
}()
