package document

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// TestHostileTextEnds reads texts that are made to keep a YAML parser busy. It
// ends, or the test's deadline does.
func TestHostileTextEnds(t *testing.T) {
	const n = 200_000
	var stairs, keys strings.Builder
	for i := range 600 {
		stairs.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	for i := range n / 20 {
		keys.WriteString("key" + strings.Repeat("x", i%7) + strings.Repeat("z", i/7%50) + strings.Repeat("y", i/350) + ": 1\n")
	}
	for what, text := range map[string]string{
		"comments":      strings.Repeat("# c\n", n/4),
		"remarks":       strings.Repeat("- # c\n", n/6),
		"flow":          "items: [" + strings.Repeat("a, ", n/3) + "]",
		"colons":        strings.Repeat("a: ", n/3),
		"questions":     strings.Repeat("? ", n/2),
		"dashes":        strings.Repeat("- ", n/2),
		"lines":         strings.Repeat("a\n", n/2),
		"anchors":       strings.Repeat("- &a a\n", n/7),
		"open brackets": strings.Repeat("{a: [", n/5),
		"blank block":   "a: |\n" + strings.Repeat("\n", n),
		"folded block":  "a: >\n" + strings.Repeat("  x\n", n/4),
		"spaces":        strings.Repeat(" ", n) + "a: b",
		"tabs":          "a:" + strings.Repeat("\t", n) + "b",
		"directives":    strings.Repeat("%YAML 1.1\n", n/10) + "---\na",
		"markers":       strings.Repeat("---\n", n/4),
		"stairs":        stairs.String(),
		"keys":          keys.String(),
		"escapes":       `{"title":"` + strings.Repeat(`\u00e9`, n/6),
	} {
		for _, name := range []string{"h.yaml", "h.json"} {
			if err := Read(name, []byte(text), &slipfitv1.Build{}); err == nil {
				t.Errorf("%s, %s: taken for a build", what, name)
			} else if len(err.Error()) > 40_000 {
				t.Errorf("%s, %s: the complaint is %d bytes long", what, name, len(err.Error()))
			}
		}
	}
}

// TestScrambledText changes the examples as text, ten thousand times: nothing may
// crash or hang, and every complaint has to name the file.
func TestScrambledText(t *testing.T) {
	const rounds = 10_000
	c := rand.New(rand.NewPCG(13, 17))
	var texts [][]byte
	for _, name := range []string{"first-basket.yaml", "field-station.json", "parts/supply.json", "parts/electronics.yaml"} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, data)
	}
	names := []string{"s.yaml", "s.json", "s.ndjson", "s"}
	read := 0
	for i := range rounds {
		data := scramble(c, texts[i%len(texts)])
		name := names[c.IntN(2)]
		if i%10 == 0 {
			name = names[c.IntN(len(names))]
		}
		err := Read(name, data, &slipfitv1.Part{})
		if i%2 == 0 {
			err = Read(name, data, &slipfitv1.CheckRequest{})
		}
		if err == nil {
			read++
		} else if !strings.HasPrefix(err.Error(), name+":") {
			t.Fatalf("the complaint %q does not start with the file's name", err)
		}
	}
	if read == 0 || read == rounds {
		t.Errorf("%d of %d scrambled texts were read; the scrambling is too wild or too tame", read, rounds)
	}
}
