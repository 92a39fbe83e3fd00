package mating

import (
	"testing"

	"pgregory.net/rapid"
)

func TestCompareVersions(t *testing.T) {
	for _, row := range []struct {
		name, a, b string
		want       ordering
	}{
		{"numbers count as wholes", "1.9", "1.10", older},
		{"later part decides", "1.40", "1.30", newer},
		{"alike", "1.30", "1.30", same},
		{"separators only part", "1-30", "1.30", same},
		{"leading zeros only fill up", "0906", "0804", newer},
		{"letters by the alphabet", "F10", "f9", newer},
		{"a suffix comes after", "1.30a", "1.30", newer},
		{"a trial version comes before", "1.30 beta", "1.30", older},
		{"and the other way round", "1.30", "1.30-rc1", newer},
		{"letters and numbers by turns", "7B12v1A2", "7B12v1B", older},
		{"a number against letters", "F10", "1.30", incomplete},
		{"wholes or decimals, they agree", "2.05", "2.10", older},
		{"wholes or decimals, they do not", "2.05", "2.1", incomplete},
		{"nothing", "", "1.30", incomplete},
		{"no letter and no digit", "1.30", "--", incomplete},
		{"longer than any integer", "1.99999999999999999999998", "1.99999999999999999999999", older},
	} {
		t.Run(row.name, func(t *testing.T) {
			if got := compareVersions(row.a, row.b); got != row.want {
				t.Errorf("%q against %q is %d, want %d", row.a, row.b, got, row.want)
			}
		})
	}
}

// Turned round the order turns round, and a version is like itself.
func TestVersionsCompareBothWays(t *testing.T) {
	version := rapid.StringMatching(`[A-Fa-f0-9. -]{0,8}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := version.Draw(t, "a"), version.Draw(t, "b")
		there, back := compareVersions(a, b), compareVersions(b, a)
		if there == incomplete || back == incomplete {
			if there != back {
				t.Fatalf("%q against %q is %d, and back %d", a, b, there, back)
			}
			return
		}
		if there != -back {
			t.Fatalf("%q against %q is %d, and back %d", a, b, there, back)
		}
		if self := compareVersions(a, a); self != same {
			t.Fatalf("%q against itself is %d", a, self)
		}
	})
}
