package lines

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
)

// read gives all lines as "number:text", "number:long LENGTH", and the error that
// ended the stream.
func read(r *Reader) (out []string, err error) {
	for {
		line, err := r.Next()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return out, err
		}
		if line.TooLong() {
			out = append(out, fmt.Sprintf("%d:long %d", line.Number, line.Length))
			continue
		}
		out = append(out, fmt.Sprintf("%d:%s", line.Number, line.Text))
	}
}

func TestLines(t *testing.T) {
	for input, want := range map[string]string{
		"":                                   "[]",
		"\n\n":                               "[]",
		"a\nb\n":                             "[1:a 2:b]",
		"a\r\n\r\nb":                         "[1:a 3:b]",
		"12345678\n9":                        "[1:12345678 2:9]",
		"123456789\nb":                       "[1:long 10 2:b]",
		"123456789":                          "[1:long 9]",
		"12345678\r\nb":                      "[1:12345678 2:b]",
		strings.Repeat("x", 700_000) + "\nb": "[1:long 700001 2:b]",
	} {
		got, err := read(NewReader("in", strings.NewReader(input), 8))
		if fmt.Sprint(got) != want || err != nil {
			t.Errorf("%.20q: lines %v, error %v; want %s", input, got, err, want)
		}
	}
}

// endless is a line of n bytes that no memory holds.
type endless struct{ n int64 }

func (e *endless) Read(p []byte) (int, error) {
	if e.n == 0 {
		return 0, io.EOF
	}
	n := min(int64(len(p)), e.n)
	for i := range p[:n] {
		p[i] = 'x'
	}
	e.n -= n
	return int(n), nil
}

func TestALineOfAHundredMegabytesTakesNoMemory(t *testing.T) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	got, err := read(NewReader("in", io.MultiReader(&endless{100 << 20}, strings.NewReader("\nb\n")), 2<<20))
	runtime.ReadMemStats(&after)
	if want := fmt.Sprintf("[1:long %d 2:b]", 100<<20+1); fmt.Sprint(got) != want || err != nil {
		t.Errorf("lines %v, error %v; want %s", got, err, want)
	}
	if grown := after.TotalAlloc - before.TotalAlloc; grown > 16<<20 {
		t.Errorf("it took %d bytes", grown)
	}
}

func TestPiecesFollowEachOtherInEveryCoding(t *testing.T) {
	for _, name := range []string{"a.ndjson", "a.ndjson.gz", "a.ndjson.zst"} {
		var file bytes.Buffer
		for _, piece := range []string{"a\nb\n", "c\n"} {
			member, err := Member(CodingOf(name), []byte(piece))
			if err != nil {
				t.Fatal(err)
			}
			file.Write(member)
		}
		from, err := Decompress(name, &file)
		if err != nil {
			t.Fatal(err)
		}
		got, err := read(NewReader(name, from, 8))
		if fmt.Sprint(got) != "[1:a 2:b 3:c]" || err != nil {
			t.Errorf("%s: lines %v, error %v", name, got, err)
		}
	}
}

func TestACutStreamIsNamedBehindItsLastLine(t *testing.T) {
	var text strings.Builder
	for i := range 5000 {
		fmt.Fprintf(&text, "line %d of a catalogue\n", i*i)
	}
	for _, name := range []string{"a.ndjson.gz", "a.ndjson.zst"} {
		whole, err := Member(CodingOf(name), []byte(text.String()))
		if err != nil {
			t.Fatal(err)
		}
		from, err := Decompress(name, bytes.NewReader(whole[:len(whole)*3/4]))
		if err != nil {
			t.Fatal(err)
		}
		_, err = read(NewReader(name, from, 100))
		if err == nil || !strings.Contains(err.Error(), name+" breaks off behind line ") || !strings.Contains(err.Error(), "cut off; fetch the file again") {
			t.Errorf("%s: the error is %v", name, err)
		}
	}
}
