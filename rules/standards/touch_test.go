package standards

import (
	"math"
	"strings"
	"testing"
)

// IEC 62368-1, table 38, a plastic grille of 80 degrees.
func TestTouchPlasticGrille(t *testing.T) {
	for _, tt := range []struct {
		contact string
		limit   float64
		class   TouchClass
	}{{ContactShort, 77, 2}, {ContactTouch, 94, 1}} {
		l, err := TouchLimitFor(SurfacePlastic, tt.contact)
		if err != nil || l.TS1C != tt.limit || l.Class(80) != tt.class || l.Source.Firm() {
			t.Errorf("%s: %+v class %v, %v", tt.contact, l, l.Class(80), err)
		}
	}
}

// The span that the discussion of table 38 names: 48 to 94 degrees. A longer
// contact and a better conductor never allow more.
func TestTouchTableIsOrdered(t *testing.T) {
	contacts := []string{ContactHeld, ContactLong, ContactShort, ContactTouch}
	surfaces := []string{SurfaceMetal, SurfaceGlass, SurfacePlastic}
	lowest, highest := math.Inf(1), 0.0
	at := func(s, c string) TouchLimit {
		l, err := TouchLimitFor(s, c)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	for i, c := range contacts {
		for j, s := range surfaces {
			l := at(s, c)
			lowest, highest = min(lowest, l.TS1C), max(highest, l.TS1C)
			if l.TS2C != l.TS1C+10 {
				t.Errorf("%s %s: TS2 is %v and TS1 %v", s, c, l.TS2C, l.TS1C)
			}
			if i > 0 && l.TS1C < at(s, contacts[i-1]).TS1C {
				t.Errorf("%s: %s allows less than a longer contact", s, c)
			}
			if j > 0 && l.TS1C < at(surfaces[j-1], c).TS1C {
				t.Errorf("%s: %s allows less than a better conductor", c, s)
			}
		}
	}
	if lowest != 48 || highest != 94 {
		t.Errorf("TS1 spans %v to %v, want 48 to 94", lowest, highest)
	}
	if len(TouchLimits()) != len(contacts)*len(surfaces) {
		t.Errorf("%d rows", len(TouchLimits()))
	}
}

func TestTouchClassNeverPassesForWantOfANumber(t *testing.T) {
	l, err := TouchLimitFor(SurfaceMetal, ContactHeld)
	if err != nil {
		t.Fatal(err)
	}
	for celsius, want := range map[float64]TouchClass{48: 1, 48.1: 2, 58: 2, 58.1: 3, math.Inf(1): 3} {
		if got := l.Class(celsius); got != want {
			t.Errorf("%v degrees are class %v, want %v", celsius, got, want)
		}
	}
	if got := l.Class(math.NaN()); got != 3 {
		t.Errorf("NaN is class %v, want 3", got)
	}
	if _, err := TouchLimitFor("velvet", ContactHeld); err == nil || !strings.Contains(err.Error(), `surface "velvet"`) {
		t.Errorf("error is %v", err)
	}
}

// ANSI/ESD S20.20-2021: below 35 megohms.
func TestWristStrap(t *testing.T) {
	for ohm, want := range map[float64]bool{40e6: false, 35e6: false, 34.9e6: true, 1e6: true, -1: false, math.Inf(1): false} {
		if got := WristStrapOK(ohm); got != want {
			t.Errorf("%v ohm ok = %v, want %v", ohm, got, want)
		}
	}
	if WristStrapOK(math.NaN()) {
		t.Error("NaN passes")
	}
	if !WristStrapLimit.Source.Firm() {
		t.Errorf("the limit rests on %v", WristStrapLimit.Source)
	}
}

func TestCautionsAreSentences(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range Cautions() {
		if seen[c.Topic] || !strings.HasSuffix(c.Text, ".") || len(c.Text) < 40 {
			t.Errorf("caution %+v", c)
		}
		seen[c.Topic] = true
		if got, ok := CautionOn(c.Topic); !ok || got != c {
			t.Errorf("topic %q gives %+v", c.Topic, got)
		}
	}
	if _, ok := CautionOn("moonlight"); ok {
		t.Error("a topic without a caution has one")
	}
}
