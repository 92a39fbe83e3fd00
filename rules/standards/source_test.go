package standards

import (
	"slices"
	"strings"
	"testing"
)

func TestSourceCitesItselfAndItsStanding(t *testing.T) {
	tests := []struct {
		id, want string
		firm     bool
	}{
		{"microatx-1.2-fig2", "microATX specification 1.2, figure 2", true},
		{"iso-273", "ISO 273", true},
		{"slot-width-derived", "ATX family board drawings, multiples of the slot pitch (derived)", true},
		{"atx-hole-drawings", "ATX family board drawings, mounting holes (secondary drawing or table)", true},
		{"board-size-table", "table of board form factors, outlines (secondary drawing or table)", false},
		{"radiator-name", "radiator sizes named by their fans (common practice, no source)", false},
		{"cem-component-height", "PCI Express card electromechanical specification, component heights (from memory)", false},
	}
	for _, tt := range tests {
		s, ok := Lookup(tt.id)
		if !ok {
			t.Errorf("source %q is not registered", tt.id)
			continue
		}
		if got := s.String(); got != tt.want {
			t.Errorf("source %q reads %q, want %q", tt.id, got, tt.want)
		}
		if got := s.Firm(); got != tt.firm {
			t.Errorf("source %q firm = %v, want %v", tt.id, got, tt.firm)
		}
	}
}

func TestLookupOfAnUnregisteredSource(t *testing.T) {
	if s, ok := Lookup("no-such-source"); ok || s != (Source{}) {
		t.Errorf("Lookup found %v for an ID that nobody registered", s)
	}
}

func TestAllSourcesAreSortedAndWellFormed(t *testing.T) {
	all := All()
	if len(all) != len(registry) || len(all) == 0 {
		t.Fatalf("All returns %d of %d sources", len(all), len(registry))
	}
	sorted := slices.IsSortedFunc(all, func(a, b Source) int { return strings.Compare(a.ID, b.ID) })
	if !sorted {
		t.Error("All is not sorted by ID")
	}
	for _, s := range all {
		if strings.Trim(s.ID, "abcdefghijklmnopqrstuvwxyz0123456789.-") != "" {
			t.Errorf("source ID %q has characters other than lower case letters, digits, dots and hyphens", s.ID)
		}
		if s.Standing < Published || s.Standing > Memory {
			t.Errorf("source %q has no standing: %v", s.ID, s.Standing)
		}
		if s.Witnesses < 1 {
			t.Errorf("source %q has %d witnesses", s.ID, s.Witnesses)
		}
		if (s.Standing == Memory || s.Standing == CommonPractice) && s.Firm() {
			t.Errorf("source %q is %v and must not be firm", s.ID, s.Standing)
		}
	}
}

func TestZeroSourceIsNotFirm(t *testing.T) {
	if (Source{}).Firm() {
		t.Error("a source without a standing is firm")
	}
	if got := Standing(0).String(); got != "standing 0" {
		t.Errorf("the zero standing reads %q", got)
	}
}

func TestWeakerPrefersWhatIsNotFirm(t *testing.T) {
	published, memory := srcMicroATXHoles, srcComponent
	one, two := srcBoardTable, srcHoleDrawings
	tests := []struct{ name, a, b, want string }{
		{"memory under published", published.ID, memory.ID, memory.ID},
		{"order does not matter", memory.ID, published.ID, memory.ID},
		{"one drawing under two", two.ID, one.ID, one.ID},
		{"drawing under published", published.ID, two.ID, two.ID},
		{"derived over published", srcSlotWidth.ID, published.ID, srcSlotWidth.ID},
		{"equal keeps the first", published.ID, srcMicroATXStray.ID, published.ID},
	}
	for _, tt := range tests {
		a, _ := Lookup(tt.a)
		b, _ := Lookup(tt.b)
		if got := Weaker(a, b).ID; got != tt.want {
			t.Errorf("%s: Weaker(%s, %s) = %s, want %s", tt.name, tt.a, tt.b, got, tt.want)
		}
	}
}

func TestRegistryRefusesMistakes(t *testing.T) {
	for name, bad := range map[string]func(){
		"repeated ID":     func() { register("iso-273", "ISO 273", "", Published) },
		"blank ID":        func() { register("", "ISO 273", "", Published) },
		"blank title":     func() { register("iso-0", "", "", Published) },
		"repeated figure": func() { figure("board thickness", 1, "mm", srcMicroATXFig4) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			bad()
		}()
	}
}

func TestFigureReadsAsEvidence(t *testing.T) {
	want := "board thickness 1.57 mm (microATX specification 1.2, figure 4)"
	if got := BoardThickness.String(); got != want {
		t.Errorf("figure reads %q, want %q", got, want)
	}
	want = "tachometer pulses per revolution 2 (4-wire PWM controlled fans specification, section 2.1.3)"
	if got := TachPulses.String(); got != want {
		t.Errorf("figure reads %q, want %q", got, want)
	}
}
