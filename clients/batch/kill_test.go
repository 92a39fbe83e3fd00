package batch

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"go.uber.org/goleak"

	"slipfit.example/clients/lines"
)

// childOutput names the output of a batch process that this test binary becomes.
const childOutput = "SLIPFIT_TEST_BATCH_OUTPUT"

func TestMain(m *testing.M) {
	if out := os.Getenv(childOutput); out != "" {
		os.Exit(child(out))
	}
	if dir := os.Getenv(onFullDisk); dir != "" {
		if err := fillDisk(dir); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	goleak.VerifyTestMain(m)
}

const killedLines = 600

// child is a batch process over killedLines lines, in chunks of seven.
func child(out string) int {
	s, err := NewLineSource("in", &linesOfInput{}, 0, &Job{})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	s.limit = 7
	if _, err := Run(context.Background(), s, &echo{wait: 2 * time.Millisecond}, Options{Output: out}); err != nil && !errors.Is(err, ErrDone) {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// linesOfInput gives the lines of input(killedLines).
type linesOfInput struct {
	next int
	rest []byte
}

func (l *linesOfInput) Read(p []byte) (int, error) {
	if len(l.rest) == 0 {
		if l.next == killedLines {
			return 0, io.EOF
		}
		l.next++
		l.rest = fmt.Appendf(nil, "text of line %d\n", l.next)
	}
	n := copy(p, l.rest)
	l.rest = l.rest[n:]
	return n, nil
}

// A batch process is killed at any moment, fifty times and more, and run again until
// it ends by itself: each line is in the output once. The count does not use this
// package's code.
func TestKilledRunsLoseNothingAndRepeatNothing(t *testing.T) {
	const kills = 50
	dir := t.TempDir()
	killed, finished := 0, 0
	for round := 0; killed < kills; round++ {
		out := filepath.Join(dir, fmt.Sprintf("out-%d.ndjson", round)+[]string{"", ".gz", ".zst"}[round%3])
		for attempt := 0; ; attempt++ {
			if attempt > 200 {
				t.Fatal("the run never comes to its end")
			}
			cmd := exec.Command(os.Args[0])
			cmd.Env = append(os.Environ(), childOutput+"="+out)
			cmd.Stderr = os.Stderr
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			ended := make(chan error, 1)
			go func() { ended <- cmd.Wait() }()
			if killed < kills || attempt%2 == 0 {
				select {
				case err := <-ended:
					if err != nil {
						t.Fatalf("the run failed by itself: %v", err)
					}
					ended <- nil
				case <-time.After(time.Duration(5+rand.IntN(60)) * time.Millisecond):
					_ = cmd.Process.Kill()
				}
			}
			err := <-ended
			if err == nil {
				break
			}
			killed++
		}
		finished++
		countOnce(t, out)
	}
	t.Logf("%d kills over %d outputs", killed, finished)
}

// countOnce counts the lines of an output by their numbers.
func countOnce(t *testing.T, name string) {
	t.Helper()
	f, err := lines.Open(name, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	seen := make([]int, killedLines+1)
	scanner := bufio.NewScanner(f)
	for scanner.Scan() {
		var n, m int
		if _, err := fmt.Sscanf(scanner.Text(), `{"line":%d,"refused":{"reason":"text of line %d"}}`, &n, &m); err != nil || n != m || n < 1 || n > killedLines {
			t.Fatalf("%s holds the line %q", name, scanner.Text())
		}
		seen[n]++
	}
	if err := scanner.Err(); err != nil {
		t.Fatal(err)
	}
	for n, times := range seen[1:] {
		if times != 1 {
			t.Fatalf("%s holds line %s %d times", name, strconv.Itoa(n+1), times)
		}
	}
}
