package batch

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"slipfit.example/clients/lines"
	v1 "slipfit.example/proto/slipfit/v1"
)

// echo answers a line with its own text, as a refusal.
type echo struct {
	wait  time.Duration
	calls atomic.Int64
	fail  func(*Chunk) error
}

func (e *echo) Process(ctx context.Context, c *Chunk) (Answer, error) {
	e.calls.Add(1)
	if e.fail != nil {
		if err := e.fail(c); err != nil {
			return Answer{}, err
		}
	}
	if e.wait > 0 {
		time.Sleep(time.Duration(rand.Int64N(int64(e.wait))))
	}
	w := NewAnswers(c)
	for i := range c.Lines {
		text := string(c.Lines[i].Text)
		if r := c.Lines[i].Refusal; r != nil {
			text = r.GetReason()
		}
		w.Refuse(i, &v1.Refusal{Reason: &text})
	}
	return w.Answer()
}

// input is n numbered lines.
func input(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "text of line %d\n", i+1)
	}
	return b.String()
}

// wanted is what echo makes of input(n), written down without this package's code.
func wanted(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "{\"line\":%d,\"refused\":{\"reason\":\"text of line %d\"}}\n", i+1, i+1)
	}
	return b.String()
}

func source(t testing.TB, name, text string, chunk int) *LineSource {
	t.Helper()
	s, err := NewLineSource(name, strings.NewReader(text), int64(len(text)), &Job{})
	if err != nil {
		t.Fatal(err)
	}
	s.limit = chunk
	return s
}

func content(t testing.TB, name string) string {
	t.Helper()
	f, err := lines.Open(name, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	var b bytes.Buffer
	if _, err := b.ReadFrom(f); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestEveryLineIsAnsweredInItsOrder(t *testing.T) {
	for _, name := range []string{"out.ndjson", "out.ndjson.gz", "out.ndjson.zst"} {
		out := filepath.Join(t.TempDir(), name)
		p, err := Run(context.Background(), source(t, "in", input(1000), 7), &echo{wait: time.Millisecond}, Options{Output: out, InFlight: 8})
		if err != nil || p.Tally.Lines() != 1000 {
			t.Fatalf("%v, %d lines", err, p.Tally.Lines())
		}
		if content(t, out) != wanted(1000) {
			t.Errorf("%s is not the input's answer", name)
		}
		if left, _ := filepath.Glob(out + ".*"); len(left) > 0 {
			t.Errorf("%v were left behind", left)
		}
		if _, err := Run(context.Background(), source(t, "in", input(1000), 7), &echo{}, Options{Output: out}); !errors.Is(err, ErrDone) {
			t.Errorf("a second run says %v", err)
		}
	}
}

// A run that fails in the middle is completed by another, which asks nothing twice
// that is written already.
func TestASecondRunCompletesTheFirst(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out.ndjson.gz")
	first := &echo{fail: func(c *Chunk) error {
		if c.Lines[0].Number > 500 {
			return errors.New("the queue went away")
		}
		return nil
	}}
	p, err := Run(context.Background(), source(t, "in", input(1000), 10), first, Options{Output: out, Identity: "a"})
	if err == nil || !strings.Contains(err.Error(), "lines 501 to 510 were not answered: the queue went away") || p.Tally.Lines() != 500 {
		t.Fatalf("first run: %v, %d lines", err, p.Tally.Lines())
	}
	second := &echo{}
	p, err = Run(context.Background(), source(t, "in", input(1000), 10), second, Options{Output: out, Identity: "a"})
	if err != nil || p.Tally.Lines() != 1000 || p.Resumed != 500 || second.calls.Load() != 50 {
		t.Errorf("second run: %v, %d lines, %d resumed, %d chunks asked", err, p.Tally.Lines(), p.Resumed, second.calls.Load())
	}
	if content(t, out) != wanted(1000) {
		t.Error("the output is not the input's answer")
	}
}

func TestARunIsNotContinuedOnOtherInputOrWithOtherRules(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out.ndjson")
	half := &echo{fail: func(c *Chunk) error {
		if c.Lines[0].Number > 50 {
			return errors.New("enough")
		}
		return nil
	}}
	if _, err := Run(context.Background(), source(t, "in", input(100), 10), half, Options{Output: out, Identity: "a"}); err == nil {
		t.Fatal("the first run was to end in the middle")
	}
	for name, c := range map[string]struct{ text, identity, want string }{
		"other rules":   {input(100), "b", "was begun with other rules"},
		"changed input": {strings.Replace(input(100), "line 3", "line X", 1), "a", "in has changed since an earlier run read it up to line 50"},
		"shorter input": {input(30), "a", "in ends at line 30, and an earlier run has read 50"},
	} {
		if _, err := Run(context.Background(), source(t, "in", c.text, 10), &echo{}, Options{Output: out, Identity: c.identity}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// Whatever a crash leaves of the journal's end, and behind the part's last promised
// byte, the next run makes good.
func TestATornEndIsMadeGood(t *testing.T) {
	dir := t.TempDir()
	for name, tear := range map[string]func(part, book []byte) ([]byte, []byte){
		"half a record":    func(p, b []byte) ([]byte, []byte) { return p, b[:len(b)-9] },
		"a record of junk": func(p, b []byte) ([]byte, []byte) { return p, append(b, "{\"through\":999} 00000000\n"...) },
		"half a chunk":     func(p, b []byte) ([]byte, []byte) { return append(p, "{\"line\":5"...), b },
		"only the head":    func(p, b []byte) ([]byte, []byte) { return p, b[:bytes.IndexByte(b, '\n')+1] },
		"nothing recorded": func(p, _ []byte) ([]byte, []byte) { return p, nil },
	} {
		t.Run(name, func(t *testing.T) {
			out := filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+".ndjson")
			half := &echo{fail: func(c *Chunk) error {
				if c.Lines[0].Number > 50 {
					return errors.New("enough")
				}
				return nil
			}}
			if _, err := Run(context.Background(), source(t, "in", input(100), 10), half, Options{Output: out}); err == nil {
				t.Fatal("the first run was to end in the middle")
			}
			part, book := mustRead(t, out+".part"), mustRead(t, out+".journal")
			part, book = tear(part, book)
			mustWrite(t, out+".part", part)
			mustWrite(t, out+".journal", book)
			if _, err := Run(context.Background(), source(t, "in", input(100), 10), &echo{}, Options{Output: out}); err != nil {
				t.Fatal(err)
			}
			if content(t, out) != wanted(100) {
				t.Errorf("the output is %q", content(t, out))
			}
		})
	}
}

func mustRead(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func mustWrite(t testing.TB, name string, b []byte) {
	t.Helper()
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// fullDisk has room for so many bytes and writes what still goes in, as a file
// system does.
type fullDisk struct {
	realDisk
	room *int
}

type fullFile struct {
	file
	room *int
}

func (d fullDisk) open(name string) (file, error) {
	f, err := d.realDisk.open(name)
	return fullFile{f, d.room}, err
}

func (f fullFile) Write(b []byte) (int, error) {
	n := min(len(b), *f.room)
	*f.room -= n
	written, err := f.file.Write(b[:n])
	if err == nil && n < len(b) {
		err = &os.PathError{Op: "write", Path: "out", Err: syscall.ENOSPC}
	}
	return written, err
}

func TestAFullDiskIsNamedAndASecondRunCompletes(t *testing.T) {
	for room := 0; room < 4000; room += 371 {
		out := filepath.Join(t.TempDir(), "out.ndjson")
		left := room
		_, err := Run(context.Background(), source(t, "in", input(100), 10), &echo{}, Options{Output: out, disk: fullDisk{room: &left}})
		if err == nil || !strings.Contains(err.Error(), "there is no room left for "+out) || !errors.Is(err, syscall.ENOSPC) {
			t.Fatalf("with room for %d bytes: %v", room, err)
		}
		if _, err := Run(context.Background(), source(t, "in", input(100), 10), &echo{}, Options{Output: out}); err != nil {
			t.Fatal(err)
		}
		if content(t, out) != wanted(100) {
			t.Fatalf("with room for %d bytes the second run made something else", room)
		}
	}
}

func TestAFolderThatCannotBeWrittenIsNamed(t *testing.T) {
	out := filepath.Join(t.TempDir(), "none", "out.ndjson")
	if _, err := Run(context.Background(), source(t, "in", input(1), 1), &echo{}, Options{Output: out}); err == nil || !strings.Contains(err.Error(), out) {
		t.Errorf("the error is %v", err)
	}
}

// A cut gzip stream is answered as far as it goes, its place is named, and the run
// over the whole file completes it.
func TestACutInputIsNamedAndCompletedLater(t *testing.T) {
	var whole bytes.Buffer
	z := gzip.NewWriter(&whole)
	if _, err := z.Write([]byte(input(20_000))); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "out.ndjson.zst")
	open := func(b []byte) Source {
		s, err := NewLineSource("in.ndjson.gz", bytes.NewReader(b), int64(len(b)), &Job{})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	p, err := Run(context.Background(), open(whole.Bytes()[:whole.Len()/2]), &echo{}, Options{Output: out})
	if err == nil || !strings.Contains(err.Error(), "in.ndjson.gz breaks off behind line") || p.Tally.Lines() < 5000 {
		t.Fatalf("%v after %d lines", err, p.Tally.Lines())
	}
	if _, err := Run(context.Background(), open(whole.Bytes()), &echo{}, Options{Output: out}); err != nil {
		t.Fatal(err)
	}
	if content(t, out) != wanted(20_000) {
		t.Error("the output is not the input's answer")
	}
}

func TestALineThatIsTooLongIsRefusedAndTheRestGoesOn(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out.ndjson")
	text := "a\n" + strings.Repeat("x", 3<<20) + "\nb\n"
	if _, err := Run(context.Background(), source(t, "in", text, 10), &echo{}, Options{Output: out}); err != nil {
		t.Fatal(err)
	}
	got := strings.Split(strings.TrimSpace(content(t, out)), "\n")
	if len(got) != 3 || !strings.Contains(got[1], "the line is 3145729 bytes long") || !strings.Contains(got[2], `"b"`) {
		t.Errorf("output %q", got)
	}
}

func TestAMatrixGivesEveryPairOnceAndResumes(t *testing.T) {
	id := func(prefix string, n int) (out []*v1.Part) {
		for i := range n {
			name := fmt.Sprintf("%s-%d", prefix, i)
			out = append(out, &v1.Part{Id: &name, Kind: &v1.Part_Fan{Fan: &v1.Fan{}}})
		}
		return out
	}
	axes := []Axis{{"card", id("card", 30)}, {"enclosure", id("case", 21)}}
	matrix := func() *MatrixSource {
		s, err := NewMatrixSource(nil, axes, &Job{})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	out := filepath.Join(t.TempDir(), "out.ndjson")
	half := &echo{fail: func(c *Chunk) error {
		if c.Lines[0].Number > 256 {
			return errors.New("enough")
		}
		return nil
	}}
	if _, err := Run(context.Background(), matrix(), half, Options{Output: out}); err == nil {
		t.Fatal("the first run was to end in the middle")
	}
	if _, err := Run(context.Background(), matrix(), &echo{}, Options{Output: out}); err != nil {
		t.Fatal(err)
	}
	n := 0
	for line := range strings.Lines(content(t, out)) {
		want := fmt.Sprintf(`{"line":%d,"parts":{"card":"card-%d","enclosure":"case-%d"},`, n+1, n/21, n%21)
		if !strings.HasPrefix(line, want) {
			t.Fatalf("line %d is %.90q, want %q", n+1, line, want)
		}
		n++
	}
	if n != 630 {
		t.Errorf("%d pairs, want 630", n)
	}
}

func TestProgressIsToldInPlainLinesWithTimeLeft(t *testing.T) {
	var b bytes.Buffer
	teller := NewTeller(&b, false)
	now := teller.started
	teller.now = func() time.Time { return now }
	now = now.Add(20 * time.Second)
	teller.Tell(Progress{Tally: Tally{Refused: 2200}, Resumed: 200, Done: 25, Total: 100})
	now = now.Add(time.Second)
	teller.Tell(Progress{Tally: Tally{Refused: 2300}, Done: 26, Total: 100})
	teller.End(Progress{Tally: Tally{Verdicts: [5]int64{0, 5, 4, 3, 2}, Refused: 1}, Resumed: 2})
	want := "2200 lines, 100/s, 25.0 % of the input, about 1m0s left\n" +
		"15 lines, 1/s, 2 of them by an earlier run: 5 pass, 4 marginal, 3 unknown, 2 fail, 1 refused\n"
	if b.String() != want {
		t.Errorf("told %q, want %q", b.String(), want)
	}
}
