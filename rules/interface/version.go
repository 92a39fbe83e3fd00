package mating

import "strings"

// ordering is how one firmware version stands to another.
type ordering int8

const (
	older      ordering = -1
	same       ordering = 0
	newer      ordering = 1
	incomplete ordering = 2 // they cannot be compared
)

// compareVersions compares firmware versions as makers count: runs of digits as
// whole numbers (1.9 is older than 1.10), runs of letters by the alphabet without
// regard to capitals, from left to right; dots, dashes, underscores and spaces
// only part the runs. Of two that begin alike the longer is the newer (1.30a
// after 1.30), unless it goes on with alpha, beta, rc or test.
//
// They cannot be compared where a number stands against letters ("F10" against
// "1.30"), where one is empty, or where a number that begins with a zero stands
// against one of another width (2.05 against 2.1): it is not known then whether
// the maker counts wholes or decimals, unless both ways agree.
func compareVersions(a, b string) ordering {
	if skip(a) == "" || skip(b) == "" {
		return incomplete
	}
	first := true
	for {
		a, b = skip(a), skip(b)
		x, y := run(a), run(b)
		switch {
		case x == "" && y == "":
			return same
		case x == "":
			return -afterAll(y)
		case y == "":
			return afterAll(x)
		}
		if o := compareRuns(x, y, first); o != same {
			return o
		}
		a, b, first = a[len(x):], b[len(y):], false
	}
}

// afterAll says how a version that goes on with a run stands to one that ends.
func afterAll(rest string) ordering {
	for _, early := range [...]string{"alpha", "beta", "rc", "test"} {
		if strings.EqualFold(rest, early) {
			return older
		}
	}
	return newer
}

// skip leaves out what only parts the runs.
func skip(s string) string {
	for s != "" && !isDigit(s[0]) && !isLetter(s[0]) {
		s = s[1:]
	}
	return s
}

// run is the leading run of digits or of letters.
func run(s string) string {
	n := 0
	for n < len(s) && (isDigit(s[n]) || isLetter(s[n])) && isDigit(s[n]) == isDigit(s[0]) {
		n++
	}
	return s[:n]
}

// compareRuns compares two runs; first are those that the versions begin with,
// whose leading zeros only fill up.
func compareRuns(x, y string, first bool) ordering {
	if isDigit(x[0]) != isDigit(y[0]) {
		return incomplete
	}
	if !isDigit(x[0]) {
		return ordering(strings.Compare(strings.ToLower(x), strings.ToLower(y)))
	}
	wholes := compareWholes(x, y)
	if !first && len(x) != len(y) && (x[0] == '0' || y[0] == '0') {
		if decimals := ordering(strings.Compare(x, y)); decimals != wholes {
			return incomplete
		}
	}
	return wholes
}

func compareWholes(x, y string) ordering {
	x, y = strings.TrimLeft(x, "0"), strings.TrimLeft(y, "0")
	switch {
	case len(x) < len(y):
		return older
	case len(x) > len(y):
		return newer
	default:
		return ordering(strings.Compare(x, y))
	}
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

// isLetter takes every byte beyond ASCII for a letter, so that no version is cut
// within a rune.
func isLetter(b byte) bool { return 'a' <= b|0x20 && b|0x20 <= 'z' || b >= 0x80 }
