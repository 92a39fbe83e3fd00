package standards

import (
	"slices"
	"testing"
)

// Document 336521, table 3-5 and section 5.2.2.4.3.
func TestHighPowerContactCurrent(t *testing.T) {
	rating, err := ContactRatingFor(Connector12VHPWR, TerminalLowest)
	if err != nil {
		t.Fatal(err)
	}
	limit, err := AuxLimitFor(Connector12VHPWR)
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		ampere   float64
		contacts int
		want     float64
		holds    bool
	}{{limit.SustainedW / 12, 6, 8.33, true}, {limit.MaxRMSA, 6, 9.17, true}, {limit.SustainedW / 12, 5, 10.0, false}}
	for _, tt := range tests {
		got, err := ContactAmpere(tt.ampere, tt.contacts)
		if err != nil || !near(got, tt.want, 0.005) || (got <= rating.Ampere) != tt.holds {
			t.Errorf("%v A over %d contacts: %v A, %v; want %v against %v", tt.ampere, tt.contacts, got, err, tt.want, rating.Ampere)
		}
	}
	if margin := (rating.Ampere - limit.MaxRMSA/6) / rating.Ampere; !near(margin, 0.004, 0.0005) {
		t.Errorf("margin at 55 A is %v, want 0.4 percent", margin)
	}
}

// Handbook chapter 18 on terminals, and the 24-pin pin table.
func TestMainConnectorWatts(t *testing.T) {
	for _, tt := range []struct {
		terminal, rail string
		want           float64
	}{
		{TerminalHCS, Rail12V, 216}, {TerminalHCS, Rail5V, 225}, {TerminalHCS, Rail3V3, 118.8},
		{TerminalStandard, Rail12V, 144}, {TerminalStandard, Rail5V, 150}, {TerminalStandard, Rail3V3, 79.2},
		{TerminalLowest, Rail12V, 144},
	} {
		got, err := RailCapacityFor(ConnectorMain24, tt.terminal, tt.rail)
		if err != nil || !near(got.Watt, tt.want, 1e-9) || !got.Source.Firm() {
			t.Errorf("%s on %s: %+v, %v; want %v W", tt.terminal, tt.rail, got, err, tt.want)
		}
	}
}

// The handbook's 192 W on 4 pins, twice that on 8, 528 W with better terminals,
// and the Serial ATA specification's 54 W and 22.5 W.
func TestOtherConnectorWatts(t *testing.T) {
	for _, tt := range []struct {
		connector, terminal, rail string
		want                      float64
	}{
		{ConnectorCPU4, TerminalStandard, Rail12V, 192}, {ConnectorCPU8, TerminalStandard, Rail12V, 384}, {ConnectorCPU8, TerminalHCS, Rail12V, 528},
		{ConnectorSATA, "", Rail12V, SATARailWatt12.Value}, {ConnectorSATA, "", Rail5V, SATARailWatt5.Value},
		{ConnectorMain24, "", RailMinus12, 72},
	} {
		if got, err := RailCapacityFor(tt.connector, tt.terminal, tt.rail); err != nil || !near(got.Watt, tt.want, 1e-9) {
			t.Errorf("%s: %+v, %v; want %v W", tt.connector, got, err, tt.want)
		}
	}
	if _, err := RailCapacityFor(ConnectorPCIe6, "", Rail5V); err == nil || err.Error() != "connector pcie-6 carries no +5V; give a rail that it carries" {
		t.Errorf("a rail that is not there gives %v", err)
	}
	if _, err := RailCapacityFor(ConnectorCPU8, TerminalPlus, Rail12V); err == nil {
		t.Error("a terminal that is not tabled has a rating")
	}
	if _, err := ContactAmpere(10, 0); err == nil {
		t.Error("no contacts carry a current")
	}
}

// Pin tables and contact counts come from different documents and have to agree.
func TestPinoutsAgreeWithContacts(t *testing.T) {
	for _, p := range Pinouts() {
		c, err := ConnectorByToken(p.Connector)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Signals) != c.Pins+c.SensePins {
			t.Errorf("%s has %d signals for %d pins", p.Connector, len(p.Signals), c.Pins+c.SensePins)
		}
		for _, rail := range []string{Rail12V, Rail5V, Rail3V3, RailStandby, RailMinus12} {
			n := 0
			for _, s := range p.Signals {
				if s == rail {
					n++
				}
			}
			if n != c.ContactsOn(rail) {
				t.Errorf("%s has %d pins of %s and %d contacts", p.Connector, n, rail, c.ContactsOn(rail))
			}
		}
	}
}

// Pins by number as the pin tables print them.
func TestPinoutByNumber(t *testing.T) {
	for _, tt := range []struct {
		connector, signal string
		pins              []int
	}{
		{ConnectorMain24, Rail3V3, []int{1, 2, 12, 13}},
		{ConnectorMain24, Rail5V, []int{4, 6, 21, 22, 23}},
		{ConnectorMain24, Rail12V, []int{10, 11}},
		{ConnectorMain24, SignalGround, []int{3, 5, 7, 15, 17, 18, 19, 24}},
		{ConnectorMain24, "PS_ON#", []int{16}},
		{ConnectorMain24, "PWR_OK", []int{8}},
		{ConnectorPCIe8, SignalGround, []int{5, 7, 8}},
		{ConnectorPCIe6, SignalGround, []int{4, 6}},
		{ConnectorSATA, Rail12V, []int{13, 14, 15}},
		{ConnectorSATA, SignalGround, []int{4, 5, 6, 10, 12}},
		{ConnectorCPU4, Rail12V, []int{3, 4}},
		{Connector12VHPWR, "SENSE0", []int{15}},
	} {
		p, err := PinoutOf(tt.connector)
		if err != nil {
			t.Fatal(err)
		}
		var got []int
		for i, s := range p.Signals {
			if s == tt.signal {
				got = append(got, i+1)
			}
		}
		if !slices.Equal(got, tt.pins) {
			t.Errorf("%s carries %s on %v, want %v", tt.connector, tt.signal, got, tt.pins)
		}
	}
	if _, err := PinoutOf(ConnectorFloppy4); err == nil {
		t.Error("the floppy connector has a pin table")
	}
}

func TestMatingOf(t *testing.T) {
	tests := []struct {
		plug, socket        string
		fits, partial, firm bool
		caution             bool
	}{
		{ConnectorMain24, ConnectorMain24, true, false, false, false},
		{ConnectorMain20And4, ConnectorMain24, true, false, false, false},
		{ConnectorPCIe6And2, ConnectorPCIe8, true, false, false, false},
		{ConnectorPCIe6And2, ConnectorPCIe6, true, false, false, false},
		{ConnectorPCIe6, ConnectorPCIe8, true, true, true, false},
		{ConnectorPCIe8, ConnectorPCIe6, false, false, false, false},
		{ConnectorCPU4And4, ConnectorCPU4, true, false, false, false},
		{ConnectorCPU4And4, ConnectorCPU8, true, false, false, false},
		{Connector12VHPWR, Connector12V2x6, true, false, false, false},
		{ConnectorCPU8, ConnectorPCIe8, false, false, true, true},
		{ConnectorPCIe8, ConnectorCPU8, false, false, true, true},
		{ConnectorSATA, ConnectorPeripheral4, false, false, true, false},
		{"house-plug", "house-plug", true, false, false, false},
	}
	for _, tt := range tests {
		m, err := MatingOf(tt.plug, tt.socket)
		if err != nil || m.Fits != tt.fits || m.Partial != tt.partial || m.Source.Firm() != tt.firm || (m.Caution != "") != tt.caution || m.Reason == "" {
			t.Errorf("%s in %s: %+v, %v", tt.plug, tt.socket, m, err)
		}
	}
	want := `plug and socket cannot be compared: the power connector "cpu-9" is not in the tables; nearest known: cpu-4, cpu-8, cpu-4+4; correct the spelling, or give the part's own figures`
	if _, err := MatingOf("cpu-9", ConnectorCPU8); err == nil || err.Error() != want {
		t.Errorf("error is %v\nwant     %s", err, want)
	}
}

func TestMatingsAreUniqueAndKnown(t *testing.T) {
	seen := map[[2]string]bool{}
	for _, m := range Matings() {
		pair := [2]string{m.Plug, m.Socket}
		if seen[pair] || !Known(VocabConnector, m.Plug) || !Known(VocabConnector, m.Socket) || m.Plug == m.Socket {
			t.Errorf("row %v is repeated, unknown or of one kind", pair)
		}
		seen[pair] = true
		if m.Partial && m.SustainedW <= 0 {
			t.Errorf("row %v is partial and names no power", pair)
		}
	}
}

// Document 336521, tables 5-5 and 5-6, and the codings of the card
// specification from memory: only the former may fail a build.
func TestSenseCodes(t *testing.T) {
	for _, tt := range []struct {
		connector, s0, s1 string
		sustained         float64
		firm              bool
	}{
		{ConnectorPCIe8, SenseGround, SenseGround, 150, true},
		{ConnectorPCIe8, SenseGround, SenseOpen, 75, true},
		{ConnectorPCIe8, SenseOpen, SenseOpen, 0, true},
		{Connector12VHPWR, SenseGround, SenseGround, 600, false},
		{Connector12VHPWR, SenseOpen, SenseGround, 450, false},
		{Connector12VHPWR, SenseGround, SenseOpen, 300, false},
		{Connector12VHPWR, SenseOpen, SenseOpen, 150, false},
		{Connector12V2x6, SenseTied, SenseTied, 150, false},
		{Connector12V2x6, SenseOpen, SenseOpen, 0, false},
	} {
		s, err := SenseCodeFor(tt.connector, tt.s0, tt.s1)
		if err != nil || s.SustainedW != tt.sustained || s.Source.Firm() != tt.firm || s.InitialW > s.SustainedW {
			t.Errorf("%s %s/%s: %+v, %v", tt.connector, tt.s0, tt.s1, s, err)
		}
	}
	if _, err := SenseCodeFor(Connector12VHPWR, SenseTied, SenseTied); err == nil {
		t.Error("12VHPWR has a tied coding")
	}
}

// Trade guidance from memory, so that 28 mm is short and never a failure.
func TestHighPowerBendIsNotFirm(t *testing.T) {
	if 28 >= HighPowerBendLow.Value || 28 >= HighPowerBend.Value || HighPowerBend.Source.Firm() {
		t.Errorf("28 mm against %v", HighPowerBend)
	}
}

func TestRatingsAscendByConnector(t *testing.T) {
	last := map[string]float64{}
	for _, r := range ContactRatings() {
		if r.Ampere <= last[r.Connector] {
			t.Errorf("%s: %v A after %v A; the first row has to be the lowest", r.Connector, r.Ampere, last[r.Connector])
		}
		last[r.Connector] = r.Ampere
	}
	for _, c := range Connectors() {
		if last[c.Token] == 0 {
			t.Errorf("%s has no contact rating", c.Token)
		}
	}
}
