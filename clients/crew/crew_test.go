package crew

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"

	"slipfit.example/clients/batch"
	v1 "slipfit.example/proto/slipfit/v1"
)

// asHand in the environment makes the test binary a hand.
const asHand = "SLIPFIT_TEST_HAND"

func TestMain(m *testing.M) {
	switch os.Getenv(asHand) {
	case "":
		goleak.VerifyTestMain(m)
	case "mute":
		select {}
	case "broken":
		fmt.Fprintln(os.Stderr, "the table of screws is gone")
		os.Exit(1)
	default:
		out := os.Stdout
		os.Stdout = os.Stderr
		if err := Serve(context.Background(), os.Stdin, out, "rules", doer{}, func() { os.Exit(0) }); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

// doer does what a line says.
type doer struct{}

func (doer) Line(_ context.Context, c *batch.Chunk, i int) ([]byte, batch.Outcome, error) {
	l := &c.Lines[i]
	switch string(l.Text) {
	case "exit":
		os.Exit(7)
	case "panic":
		// A panic of another goroutine cannot be recovered by whoever called.
		go func() { panic("nothing is there") }()
		select {}
	case "kill":
		p, _ := os.FindProcess(os.Getpid())
		_ = p.Kill()
		select {}
	case "hang":
		select {}
	case "print":
		fmt.Println("a rule prints")
	case "unsure":
		return nil, batch.Unsure, nil
	case "error":
		return nil, 0, errors.New("it cannot be read")
	}
	return answerOf(l, "hand"), batch.Refused, nil
}

func answerOf(l *batch.Line, who string) []byte {
	reason := who + " " + string(l.Text)
	return batch.RefuseAll(&batch.Chunk{Lines: []batch.Line{{Number: l.Number}}}, reason).Output
}

// others answers what hands did not, and counts.
type others struct {
	asked atomic.Int64
	ended atomic.Int64
}

func (o *others) Process(_ context.Context, c *batch.Chunk) (batch.Answer, error) {
	a := batch.NewAnswers(c)
	for i := range c.Lines {
		o.asked.Add(1)
		reason := "apart " + string(c.Lines[i].Text)
		a.Refuse(i, &v1.Refusal{Reason: &reason})
	}
	return a.Answer()
}

// journal is a log that can be read.
type journal struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (j *journal) Write(p []byte) (int, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.text.Write(p)
}

func (j *journal) String() string {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.text.String()
}

func newCrew(t testing.TB, role string, hands int) (*Crew, *others, *journal) {
	t.Helper()
	o, log := &others{}, &journal{}
	c := New(Options{
		Command: []string{os.Args[0]}, Env: []string{asHand + "=" + role}, Hands: hands, Patience: 2 * time.Second,
		Apart: func(context.Context) (batch.Processor, func(), error) { return o, func() { o.ended.Add(1) }, nil },
		Log:   slog.New(slog.NewTextHandler(log, nil)),
	})
	t.Cleanup(c.Close)
	return c, o, log
}

// run takes a text through a crew and gives the lines of the output.
func run(t testing.TB, c *Crew, text string) ([]string, error) {
	t.Helper()
	s, err := batch.NewLineSource("in", strings.NewReader(text), 0, &batch.Job{})
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "out.ndjson")
	if _, err := batch.Run(t.Context(), s, c, batch.Options{Output: out}); err != nil {
		return nil, err
	}
	got, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(got), "\n"), "\n"), nil
}

// Lines that kill the process that answers them, in every way there is, are answered
// apart and named; no other line is, none is lost, none comes twice.
func TestALineThatKillsItsProcessIsNamedAndTheRestGoesOn(t *testing.T) {
	c, o, log := newCrew(t, "doer", 2)
	poison := map[int]string{17: "exit", 18: "panic", 300: "kill", 301: "exit", 555: "hang", 700: "print"}
	var text strings.Builder
	for i := 1; i <= 1000; i++ {
		line := fmt.Sprintf("line %d", i)
		if p, ok := poison[i]; ok {
			line = p
		}
		text.WriteString(line + "\n")
	}
	got, err := run(t, c, text.String())
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 1000 {
		t.Fatalf("%d lines, want 1000", len(got))
	}
	for i := 1; i <= 1000; i++ {
		who, what := "hand", fmt.Sprintf("line %d", i)
		if p, ok := poison[i]; ok {
			what = p
			if p != "print" {
				who = "apart"
			}
		}
		if want := fmt.Sprintf(`{"line":%d,"refused":{"reason":"%s %s"}}`, i, who, what); got[i-1] != want {
			t.Errorf("line %d is %s, want %s", i, got[i-1], want)
		}
	}
	if n := o.asked.Load(); n != 5 {
		t.Errorf("%d lines were asked apart, want 5", n)
	}
	for _, want := range []string{`line=17 reason="it ended with \"exit status 7\""`, `line=18 reason="it said \"panic: nothing is there\""`,
		"line=300 ", "line=301 ", `line=555 reason="it did not answer for 2s"`} {
		if !strings.Contains(log.String(), want) {
			t.Errorf("the log does not say %q:\n%s", want, log)
		}
	}
	if n := strings.Count(log.String(), "level=WARN"); n != 5 {
		t.Errorf("%d lines are named, want 5:\n%s", n, log)
	}
}

func TestALineWithoutASureAnswerIsAskedApart(t *testing.T) {
	c, o, log := newCrew(t, "doer", 1)
	got, err := run(t, c, "one\nunsure\nerror\nfour\n")
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"hand one", "apart unsure", "apart error", "hand four"} {
		if !strings.Contains(got[i], want) {
			t.Errorf("line %d is %s, want %s", i+1, got[i], want)
		}
	}
	if n := o.asked.Load(); n != 2 || log.String() != "" {
		t.Errorf("%d lines were asked apart, and the log says %q", n, log)
	}
}

// Where every line is poison, hands are not started for ever.
func TestAChunkOfPoisonIsGivenUp(t *testing.T) {
	c, o, log := newCrew(t, "doer", 1)
	got, err := run(t, c, strings.Repeat("exit\n", 100))
	if err != nil {
		t.Fatal(err)
	}
	if n := o.asked.Load(); n != 100 || len(got) != 100 {
		t.Errorf("%d lines were asked apart, %d came back", n, len(got))
	}
	if !strings.Contains(log.String(), "too many processes ended over these lines") {
		t.Errorf("the log says %s", log)
	}
}

func TestAHandThatDoesNotComeUpIsAnErrorWithItsWords(t *testing.T) {
	c, _, _ := newCrew(t, "broken", 1)
	_, err := run(t, c, "one\n")
	if err == nil || !strings.Contains(err.Error(), "a process that answers lines cannot be started") || !strings.Contains(err.Error(), "the table of screws is gone") {
		t.Errorf("the error is %v", err)
	}
}

// A run that is stopped leaves no process behind, whatever its hands do.
func TestAStoppedRunLeavesNoProcess(t *testing.T) {
	o := &others{}
	c := New(Options{Command: []string{os.Args[0]}, Env: []string{asHand + "=doer"}, Hands: 2, Patience: time.Hour,
		Apart: func(context.Context) (batch.Processor, func(), error) { return o, func() {}, nil }})
	ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer cancel()
	chunk := &batch.Chunk{ID: "1-1", Job: &batch.Job{}, Lines: []batch.Line{{Number: 1, Text: []byte("hang")}}}
	h, err := c.take(ctx)
	if err != nil {
		t.Fatal(err)
	}
	c.leave(h)
	if _, err := c.Process(ctx, chunk); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("the error is %v", err)
	}
	c.Close()
	if h.command.ProcessState == nil {
		t.Error("the process has not been collected")
	}
}

func TestTheOthersEndWithTheCrew(t *testing.T) {
	o := &others{}
	c := New(Options{Command: []string{os.Args[0]}, Env: []string{asHand + "=doer"}, Hands: 1,
		Apart: func(context.Context) (batch.Processor, func(), error) { return o, func() { o.ended.Add(1) }, nil }})
	if _, err := run(t, c, "unsure\n"); err != nil {
		t.Fatal(err)
	}
	c.Close()
	if o.ended.Load() != 1 {
		t.Error("what answers apart still runs")
	}
}
