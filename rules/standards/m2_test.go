package standards

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// PCI Express M.2 specification, name form wwll or wwlll.
func TestParseM2Size(t *testing.T) {
	for code, want := range map[string]M2Size{"22110": {22, 110}, "2280": {22, 80}, "2230": {22, 30}, "1216": {12, 16}, "3042": {30, 42}} {
		if got, err := ParseM2Size(code); err != nil || got != want || got.String() != code {
			t.Errorf("%s reads as %v, %v", code, got, err)
		}
	}
}

func TestParseM2SizeErrors(t *testing.T) {
	form := func(code string) string {
		return fmt.Sprintf("the M.2 size %q is no size code; write two digits of width and two or three of length, such as 2280 or 22110", code)
	}
	for code, want := range map[string]string{
		"":       form(""),
		"228":    form("228"),
		"221100": form("221100"),
		"22x80":  form("22x80"),
		"22080":  form("22080"), // a second spelling of 2280
		"-280":   form("-280"),
		"２２80":   form("２２80"),
		"2281":   `the M.2 size "2281" has a length of 81 mm, which the standard does not list; nearest: [80 60] mm`,
		"2180":   `the M.2 size "2180" has a width of 21 mm, which the standard does not list; nearest: [22 16] mm`,
	} {
		if got, err := ParseM2Size(code); err == nil || err.Error() != want {
			t.Errorf("%q reads as %v, %v\nwant %s", code, got, err, want)
		}
	}
}

func TestParseM2Code(t *testing.T) {
	got, err := ParseM2Code("2280-S3-M")
	if err != nil || got.Size != (M2Size{22, 80}) || got.Height != "S3" || !slices.Equal(got.Keys, []string{"M"}) {
		t.Errorf("2280-S3-M reads as %+v, %v", got, err)
	}
	got, err = ParseM2Code("2242-D2-B-M")
	if err != nil || got.Height != "D2" || !slices.Equal(got.Keys, []string{"B", "M"}) {
		t.Errorf("2242-D2-B-M reads as %+v, %v", got, err)
	}
	for code, want := range map[string]string{
		"2280-S9":         `the M.2 name "2280-S9" cannot be read: the M.2 height code "S9" is not in the tables; nearest known: S1, S2, S3; correct the spelling, or give the part's own figures`,
		"2280-S3-B-M-E":   `the M.2 name "2280-S3-B-M-E" has 3 keys; a module has one or two`,
		"2280-S3-M-M":     `the M.2 name "2280-S3-M-M" names key M twice; name each notch once`,
		"2280-S3-Q":       `the M.2 name "2280-S3-Q" cannot be read: the M.2 key "Q" is not in the tables; known: A, B, E, M; use one of these, or give the part's own figures`,
		"nonsense-S3-B-M": `the M.2 name "nonsense-S3-B-M" cannot be read: the M.2 size "nonsense" is no size code; write two digits of width and two or three of length, such as 2280 or 22110`,
	} {
		if got, err := ParseM2Code(code); err == nil || err.Error() != want {
			t.Errorf("%q reads as %+v, %v\nwant %s", code, got, err, want)
		}
	}
}

// Every name that the standard's parts make is read back; anything else is an
// error or reads as itself.
func TestM2CodeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := M2Size{rapid.SampledFrom(m2Widths).Draw(t, "width"), rapid.SampledFrom(m2Lengths).Draw(t, "length")}
		height := rapid.SampledFrom(m2Heights).Draw(t, "height").Code
		key := rapid.SampledFrom(m2Keys).Draw(t, "key").Letter
		got, err := ParseM2Code(strings.Join([]string{size.String(), height, key}, "-"))
		if err != nil || got.Size != size || got.Height != height || !slices.Equal(got.Keys, []string{key}) {
			t.Fatalf("%v %s %s reads as %+v, %v", size, height, key, got, err)
		}
	})
}

func FuzzParseM2Code(f *testing.F) {
	for _, seed := range []string{"2280", "22110-D5-B-M", "22080", "2280-S3-", "-", "99999"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, code string) {
		got, err := ParseM2Code(code)
		if err != nil {
			return
		}
		parts := []string{got.Size.String()}
		if got.Height != "" {
			parts = append(parts, got.Height)
		}
		if again := strings.Join(append(parts, got.Keys...), "-"); again != code {
			t.Errorf("%q reads as %q", code, again)
		}
	})
}

// A 2280 module and standoffs at 42 and 60 mm.
func TestM2LengthFits(t *testing.T) {
	a, err := M2LengthFits(M2Size{22, 80}, []int{42, 60})
	if err != nil || a.Yes || !a.Source.Firm() || a.Reason != "the module is 80 mm long and the socket has standoffs at [42 60] mm" {
		t.Errorf("answer is %+v, %v", a, err)
	}
	if a, err := M2LengthFits(M2Size{22, 80}, []int{60, 80}); err != nil || !a.Yes {
		t.Errorf("answer is %+v, %v", a, err)
	}
	if _, err := M2LengthFits(M2Size{22, 80}, nil); err == nil {
		t.Error("a socket without lengths gives an answer")
	}
}

// Key positions as two descriptions of the standard give them.
func TestM2KeyFits(t *testing.T) {
	a, err := M2KeyFits([]string{"E"}, "M")
	want := "the module is notched for E at contacts 24 to 31, the socket is keyed M at contacts 59 to 66"
	if err != nil || a.Yes || !a.Source.Firm() || a.Reason != want {
		t.Errorf("answer is %+v, %v", a, err)
	}
	for _, socket := range []string{"B", "M"} {
		if a, err := M2KeyFits([]string{"B", "M"}, socket); err != nil || !a.Yes {
			t.Errorf("a module notched B and M in %s: %+v, %v", socket, a, err)
		}
	}
	if a, err := M2KeyFits([]string{"A", "E"}, "B"); err != nil || a.Yes {
		t.Errorf("a radio in socket B: %+v, %v", a, err)
	}
	if a, err := M2KeyFits([]string{"Z"}, "Z"); err != nil || !a.Yes {
		t.Errorf("equal unknown keys: %+v, %v", a, err)
	}
	if _, err := M2KeyFits(nil, "M"); err == nil {
		t.Error("a module without keys gives an answer")
	}
}

// Each key takes eight neighbouring contacts of the connector's 75.
func TestM2KeyPositions(t *testing.T) {
	for _, k := range M2Keys() {
		if k.LastPin-k.FirstPin != 7 || k.FirstPin < 1 || k.LastPin > int(M2Positions.Value) {
			t.Errorf("key %+v", k)
		}
	}
}
