package sheet

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// luminance is the relative luminance of a colour (WCAG 2.2, glossary).
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	if len(hex) == 4 {
		hex = "#" + strings.Repeat(hex[1:2], 2) + strings.Repeat(hex[2:3], 2) + strings.Repeat(hex[3:4], 2)
	}
	sum := 0.0
	for i, weight := range [...]float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		if err != nil {
			t.Fatalf("%q is no colour", hex)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

func contrast(t *testing.T, a, b string) float64 {
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// Text stands out by 4.5 to 1 (WCAG 2.2, success criterion 1.4.3) from every ground
// that it lies on, by day, by night and on paper.
func TestContrast(t *testing.T) {
	if got := contrast(t, "#000", "#ffffff"); math.Abs(got-21) > 1e-9 {
		t.Fatalf("black on white is %g to 1, want 21", got)
	}
	if got := contrast(t, "#777777", "#fff"); math.Abs(got-4.48) > 0.005 { // worked example of the criterion's notes
		t.Fatalf("#777777 on white is %g to 1, want 4.48", got)
	}
	blocks := regexp.MustCompile(`:root\{([^}]*)\}`).FindAllStringSubmatch(styleText, -1)
	if len(blocks) != 3 {
		t.Fatalf("%d sets of colours, want one by day, one by night and one on paper", len(blocks))
	}
	for i, name := range []string{"day", "night", "paper"} {
		colours := map[string]string{}
		for _, m := range regexp.MustCompile(`--([a-z]+):(#[0-9a-f]+)`).FindAllStringSubmatch(blocks[i][1], -1) {
			colours[m[1]] = m[2]
		}
		for _, pair := range [][2]string{
			{"ink", "paper"}, {"soft", "paper"}, {"fail", "paper"}, {"marginal", "paper"}, {"unknown", "paper"}, {"pass", "paper"},
			{"ink", "warnbg"}, {"soft", "warnbg"}, {"marginal", "warnbg"}, {"fail", "warnbg"}, {"ink", "band"},
		} {
			text, ground := colours[pair[0]], colours[pair[1]]
			if text == "" || ground == "" {
				t.Errorf("%s has no colour for %v", name, pair)
			} else if got := contrast(t, text, ground); got < 4.5 {
				t.Errorf("%s: %s on %s is %.2f to 1, less than 4.5", name, pair[0], pair[1], got)
			}
		}
	}
}
