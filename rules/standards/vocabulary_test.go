package standards

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestVocabulariesHoldTheirTokens(t *testing.T) {
	want := map[Vocabulary][]string{
		VocabBoard:     {"mini-itx", "micro-atx", "atx", "mini-dtx", "flex-atx", "eatx", "ssi-ceb", "ssi-eeb"},
		VocabSupply:    {"atx-ps2", "atx-ps3", "sfx", "sfx-l", "tfx", "cfx", "lfx", "flex-atx"},
		VocabConnector: {"main-24", "cpu-8", "cpu-4", "pcie-6", "pcie-8", "12v-2x6", "12vhpwr", "sata-power", "peripheral-4", "floppy-4"},
		VocabHeader:    {"usb2-header", "usb3-19", "usb-c-key-a", "hd-audio", "front-panel"},
		VocabSocket:    {"am4", "am5", "lga1700", "lga1851"},
		VocabThread:    {"m2", "m2.5", "m3", "m4", "m5", "4-40", "6-32"},
		VocabCoupler:   {"c13", "c14", "c19", "c20"},
	}
	for v, tokens := range want {
		for _, token := range tokens {
			if !Known(v, token) {
				t.Errorf("%s %q is not known", v, token)
			}
		}
	}
	if len(Vocabularies()) != len(vocabularies) {
		t.Errorf("%d vocabularies are listed and %d exist", len(Vocabularies()), len(vocabularies))
	}
	for _, v := range Vocabularies() {
		if tokens := Tokens(v); len(tokens) == 0 || !slices.IsSorted(tokens) {
			t.Errorf("the tokens of %s are empty or not sorted: %v", v, tokens)
		}
	}
}

func TestKnownIsExact(t *testing.T) {
	for _, token := range []string{"", "ATX", " atx", "sfx"} {
		if Known(VocabBoard, token) {
			t.Errorf("board form factor %q is known", token)
		}
	}
	if Known("no vocabulary", "atx") || Tokens("no vocabulary") != nil {
		t.Error("a vocabulary that does not exist has tokens")
	}
}

func TestNearest(t *testing.T) {
	tests := []struct {
		v     Vocabulary
		token string
		want  []string
	}{
		{VocabBoard, "mini-itz", []string{"mini-itx", "mini-dtx"}},
		{VocabBoard, "Mini-ITX", []string{"mini-itx", "mini-dtx", "micro-atx"}},
		{VocabConnector, "12vhpw", []string{"12vhpwr"}},
		{VocabSocket, "lga1701", []string{"lga1700", "lga1151", "lga1200"}},
		{VocabSocket, "something else", nil},
		{VocabSocket, strings.Repeat("x", 100000), nil},
	}
	for _, tt := range tests {
		if got := Nearest(tt.v, tt.token); !slices.Equal(got, tt.want) {
			t.Errorf("Nearest(%s, %.20q) = %q, want %q", tt.v, tt.token, got, tt.want)
		}
	}
}

func TestUnknownTokenErrorIsASentence(t *testing.T) {
	_, err := BoardByToken("mini-itz")
	want := `the board form factor "mini-itz" is not in the tables; nearest known: mini-itx, mini-dtx; correct the spelling, or give the part's own figures`
	if err == nil || err.Error() != want {
		t.Errorf("error is %v\nwant     %s", err, want)
	}
	_, err = CouplerByToken("schuko")
	want = `the appliance coupler "schuko" is not in the tables; known: c13, c14, c19, c20; use one of these, or give the part's own figures`
	if err == nil || err.Error() != want {
		t.Errorf("error is %v\nwant     %s", err, want)
	}
	_, err = CouplerByToken(strings.Repeat("é", 5000))
	if err == nil || utf8.RuneCountInString(err.Error()) > 300 {
		t.Error("a long token floods the sentence")
	}
}

// TestLookupsFailWithTheirVocabulary asks every lookup for an unknown token.
func TestLookupsFailWithTheirVocabulary(t *testing.T) {
	const absent = "?"
	for want, lookup := range map[Vocabulary]func() error{
		VocabBoard:      func() error { _, err := TrayTakes(BoardATX, absent); return err },
		VocabSupply:     func() error { _, err := SupplyFormByToken(absent); return err },
		VocabConnector:  func() error { _, err := MatingOf(absent, ConnectorCPU4); return err },
		VocabEfficiency: func() error { _, err := EfficiencyAt(absent, 115, 0.5); return err },
		VocabMemory:     func() error { _, err := MemoryFits(MemoryDDR4UDIMM, absent); return err },
		VocabM2Key:      func() error { _, err := M2KeyFits([]string{"M"}, absent); return err },
		VocabM2Height:   func() error { _, err := ParseM2Code("2280-?-M"); return err },
		VocabThread:     func() error { _, err := Mates(absent, ThreadM3); return err },
		VocabHead:       func() error { _, err := HeadFor(absent, ThreadM3); return err },
		VocabClass:      func() error { _, err := TorqueCeilingFor(ThreadM3, absent); return err },
		VocabMaterial:   func() error { _, err := EngagementFor(ThreadM3, absent); return err },
		VocabHeader:     func() error { _, err := HeaderMates(HeaderUSB2, absent); return err },
		VocabUSB:        func() error { _, err := USBRateByToken(absent); return err },
		VocabCoupler:    func() error { _, err := CouplerByToken(absent); return err },
		VocabSocket:     func() error { _, err := SocketByToken(absent); return err },
	} {
		var unknown *UnknownTokenError
		if err := lookup(); !errors.As(err, &unknown) || unknown.Vocabulary != want || unknown.Token != absent {
			t.Errorf("lookup of %s gives %v", want, err)
		}
	}
}

// TestEveryTokenParameterIsChecked gives each function one unknown token in
// each of its places.
func TestEveryTokenParameterIsChecked(t *testing.T) {
	const absent = "?"
	for name, lookup := range map[string]func() error{
		"MatchStandoffs":     func() error { _, err := MatchStandoffs(absent, nil); return err },
		"TrayTakes, tray":    func() error { _, err := TrayTakes(absent, BoardATX); return err },
		"ConnectorByToken":   func() error { _, err := ConnectorByToken(absent); return err },
		"ContactRatingFor":   func() error { _, err := ContactRatingFor(absent, ""); return err },
		"RailCapacityFor":    func() error { _, err := RailCapacityFor(absent, "", Rail12V); return err },
		"AuxLimitFor":        func() error { _, err := AuxLimitFor(absent); return err },
		"MatingOf, socket":   func() error { _, err := MatingOf(ConnectorCPU4, absent); return err },
		"SenseCodeFor":       func() error { _, err := SenseCodeFor(absent, SenseOpen, SenseOpen); return err },
		"PinoutOf":           func() error { _, err := PinoutOf(absent); return err },
		"CardBudgetFor":      func() error { _, err := CardBudgetFor(absent); return err },
		"MemoryFits, module": func() error { _, err := MemoryFits(absent, MemoryDDR4UDIMM); return err },
		"M2KeyFits, module":  func() error { _, err := M2KeyFits([]string{absent}, "M"); return err },
		"HeadFor, thread":    func() error { _, err := HeadFor(HeadPan, absent); return err },
		"TorqueCeilingFor":   func() error { _, err := TorqueCeilingFor(absent, "8.8"); return err },
		"EngagementFor":      func() error { _, err := EngagementFor(absent, "steel"); return err },
		"Mates, hole":        func() error { _, err := Mates(ThreadM3, absent); return err },
		"HeaderMates, plug":  func() error { _, err := HeaderMates(absent, HeaderUSB2); return err },
		"HeaderPorts":        func() error { _, err := HeaderPorts(absent, 1, 1); return err },
		"M2KeyByLetter":      func() error { _, err := M2KeyByLetter(absent); return err },
		"SupplyFormByToken":  func() error { _, err := SupplyFormByToken(absent); return err },
		"MemoryKindByToken":  func() error { _, err := MemoryKindByToken(absent); return err },
	} {
		var unknown *UnknownTokenError
		if err := lookup(); !errors.As(err, &unknown) || unknown.Token != absent {
			t.Errorf("%s gives %v", name, err)
		}
	}
}

// The edit distance is a metric; these are its axioms.
func TestEditDistanceIsAMetric(t *testing.T) {
	word := rapid.StringOfN(rapid.RuneFrom([]rune("abé-1")), 0, 12, -1)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")
		ab, ba := editDistance(a, b), editDistance(b, a)
		if ab != ba {
			t.Fatalf("distance is %d one way and %d the other", ab, ba)
		}
		if (ab == 0) != (a == b) {
			t.Fatalf("distance of %q and %q is %d", a, b, ab)
		}
		la, lb := utf8.RuneCountInString(a), utf8.RuneCountInString(b)
		if ab < max(la-lb, lb-la) || ab > max(la, lb) {
			t.Fatalf("distance of %q and %q is %d, out of bounds", a, b, ab)
		}
		if ac, cb := editDistance(a, c), editDistance(c, b); ab > ac+cb {
			t.Fatalf("triangle broken: %d > %d + %d", ab, ac, cb)
		}
	})
}

// Worked distances that text books print for Levenshtein's measure.
func TestEditDistanceTextBook(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"saturday", "sunday", 3}, {"", "abc", 3}, {"flaw", "lawn", 2}} {
		if got := editDistance(tt.a, tt.b); got != tt.want {
			t.Errorf("distance of %q and %q is %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}

func TestNearestOffersOnlyKnownTokens(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SampledFrom(Vocabularies()).Draw(t, "vocabulary")
		for i, n := range Nearest(v, rapid.String().Draw(t, "token")) {
			if !Known(v, n) || i > 2 {
				t.Fatalf("suggestion %d is %q", i, n)
			}
		}
		token := rapid.SampledFrom(Tokens(v)).Draw(t, "known")
		if n := Nearest(v, token); len(n) == 0 || !strings.EqualFold(n[0], token) {
			t.Fatalf("nearest of %q is %q", token, n)
		}
	})
}
