package standards

import (
	"testing"

	"pgregory.net/rapid"
)

// From memory: an unlike pair is never firm, so that a rule warns only.
func TestSharesCoolerHoles(t *testing.T) {
	for _, tt := range []struct {
		a, b               string
		determined, shared bool
	}{
		{"am4", "am5", true, true},
		{"lga1700", "lga1851", true, true},
		{"lga1200", "lga1151", true, true},
		{"lga1200", "lga1700", true, false},
		{"am4", "lga1700", true, false},
		{"am5", "am5", true, true},
		{"house-socket", "house-socket", true, true},
		{"house-socket", "am5", false, false},
		{"sp5", "am5", false, false},
	} {
		m := SharesCoolerHoles(tt.a, tt.b)
		if m.Determined != tt.determined || m.Shared != tt.shared || m.Reason == "" || m.Source.Firm() {
			t.Errorf("%s and %s: %+v", tt.a, tt.b, m)
		}
	}
	want := "lga1200 has 75 x 75 mm and lga1700 has 78 x 78 mm"
	if got := SharesCoolerHoles("lga1200", "lga1700").Reason; got != want {
		t.Errorf("reason is %q, want %q", got, want)
	}
}

// Sharing holes is symmetric and holds along a chain.
func TestSharingHolesIsAnEquivalence(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		token := rapid.SampledFrom(Tokens(VocabSocket))
		a, b, c := token.Draw(t, "a"), token.Draw(t, "b"), token.Draw(t, "c")
		ab, ba := SharesCoolerHoles(a, b), SharesCoolerHoles(b, a)
		if ab.Shared != ba.Shared || ab.Determined != ba.Determined {
			t.Fatalf("%s and %s: %+v one way, %+v the other", a, b, ab, ba)
		}
		if ab.Shared && SharesCoolerHoles(b, c).Shared && !SharesCoolerHoles(a, c).Shared {
			t.Fatalf("%s, %s and %s do not chain", a, b, c)
		}
		if ab.Shared && !ab.Determined {
			t.Fatalf("%s and %s share undetermined holes", a, b)
		}
	})
}
