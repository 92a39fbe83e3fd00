package packs

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestLinesComeOutAsTheyWentIn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.SliceOfN(rapid.StringMatching(`[a-z ]{1,40}`), 0, linesBurst).Draw(t, "lines")
		var got []string
		s := newLineSink(func(line string) { got = append(got, line) })
		w := &lineWriter{sink: s}
		text := strings.Join(want, "\n")
		for text != "" {
			n := rapid.IntRange(1, len(text)).Draw(t, "chunk")
			_, _ = w.Write([]byte(text[:n]))
			text = text[n:]
		}
		w.flush()
		if strings.Join(got, "|") != strings.Join(want, "|") {
			t.Fatalf("got %q, want %q", got, want)
		}
	})
}

func TestLinesAreBoundedWhateverComes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := time.Unix(0, 0)
		lines := 0
		s := newLineSink(func(line string) {
			lines++
			if len(line) > 2*longestLine || !utf8.ValidString(line) || strings.Contains(line, "\n") {
				t.Fatalf("a line of %d bytes: %q", len(line), line)
			}
		})
		s.now = func() time.Time { return now }
		input := strings.Repeat(string(rapid.SliceOfN(rapid.Byte(), 1, 64).Draw(t, "pattern")), 4000)
		s.drain(strings.NewReader(input))
		// Each line that passes can bring a note on those that did not, and a crash
		// passes once.
		if limit := 2 * (linesBurst + crashLines); lines > limit {
			t.Fatalf("%d lines came through at once, want %d at most", lines, limit)
		}
	})
}

func TestCrashPassesTheLimitAndIsTheLastWord(t *testing.T) {
	var got []string
	s := newLineSink(func(line string) { got = append(got, line) })
	s.now = func() time.Time { return time.Unix(0, 0) }
	s.drain(strings.NewReader(strings.Repeat("noise\n", 10*linesBurst) + "panic: a screw is loose\n\ngoroutine 1 [running]:\nmain.main()\n"))
	const want = "(900 lines dropped here)|panic: a screw is loose|goroutine 1 [running]:|main.main()"
	if end := strings.Join(got[linesBurst:], "|"); end != want {
		t.Errorf("after the limit came %q, want %q", end, want)
	}
	if words := s.lastWords(); words != "panic: a screw is loose" {
		t.Errorf("last words %q", words)
	}
}
