//go:build linux

package packs

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// The test binary is pack, host and test in one: the environment says which.
const (
	envMode = "SLIPFIT_TEST_MODE" // what kind of pack
	envName = "SLIPFIT_TEST_NAME" // what the pack calls itself
	envHint = "SLIPFIT_TEST_HINT" // an address or a path, by the mode
)

func TestMain(m *testing.M) {
	switch mode := os.Getenv(envMode); mode {
	case "":
		goleak.VerifyTestMain(m)
	case "host":
		beHost()
	default:
		bePack(mode)
	}
}

// self starts this test binary as a pack.
func self(t testing.TB, name, mode string, env ...string) Launch {
	t.Helper()
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return Launch{
		Name: name, Command: []string{program},
		Env: append([]string{envMode + "=" + mode, envName + "=" + name}, env...),
	}
}

// shortDir is a folder whose path leaves room for sockets.
func shortDir(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("/tmp", "sp")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

// supervise starts packs and, at the end of the test, stops them and looks for what is
// left.
func supervise(t testing.TB, o Options, launches ...Launch) *Supervisor {
	t.Helper()
	if o.Dir == "" {
		o.Dir = shortDir(t)
	}
	if o.Logger == nil {
		o.Logger = slog.New(slog.DiscardHandler)
	}
	if o.StartTimeout == 0 {
		o.StartTimeout = 20 * time.Second
	}
	if o.ReadyTimeout == 0 {
		o.ReadyTimeout = 20 * time.Second
	}
	s, err := Start(context.Background(), launches, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Stop(context.Background()); err != nil {
			t.Error(err)
		}
		if left := children(); len(left) > 0 {
			t.Errorf("processes left behind: %v", left)
		}
		if files := filesUnder(t, o.Dir); len(files) > 0 {
			t.Errorf("files left behind: %v", files)
		}
	})
	return s
}

// live waits for an instance.
func live(t testing.TB, p *Pack) *Instance {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	i, err := p.Await(ctx)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

// liveAfter waits for another instance than an old one.
func liveAfter(t testing.TB, p *Pack, old *Instance) *Instance {
	t.Helper()
	awaitClosed(t, old.Done(), 10*time.Second, "the old instance is not done")
	return live(t, p)
}

func awaitClosed(t testing.TB, ch <-chan struct{}, d time.Duration, complaint string) {
	t.Helper()
	if !isClosedWithin(ch, d) {
		t.Fatalf("after %v: %s", d, complaint)
	}
}

// eventually waits until a condition holds.
func eventually(t testing.TB, d time.Duration, complaint string, holds func() bool) {
	t.Helper()
	for end := time.Now().Add(d); !holds(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("after %v: %s", d, complaint)
		}
	}
}

// tell sends one order to a pack, as the check of a batch's only task, and returns what
// it answered as findings.
func tell(i *Instance, order string) (string, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	stream, err := i.Client().Evaluate(ctx)
	if err != nil {
		return "", err
	}
	request := &packv1.EvaluateRequest{Batch: proto.Uint64(1), Tasks: []*packv1.Task{{Check: []byte(order)}}}
	if err := stream.Send(request); err != nil {
		return "", err
	}
	answer, err := stream.Recv()
	if err != nil {
		return "", err
	}
	return string(answer.GetOutcomes()[0].GetFindings()), nil
}

// mustTell is tell for orders that a pack survives.
func mustTell(t testing.TB, i *Instance, order string) string {
	t.Helper()
	answer, err := tell(i, order)
	if err != nil {
		t.Fatalf("order %q: %v", order, err)
	}
	return answer
}

// filesUnder lists what is in a folder and its folders.
func filesUnder(t testing.TB, dir string) []string {
	t.Helper()
	var files []string
	err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		if err == nil && path != dir {
			files = append(files, path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// children are the processes whose parent is this one, as "number state", from proc(5).
func children() []string {
	var all []string
	entries, _ := os.ReadDir("/proc")
	for _, e := range entries {
		pid, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		if state, parent := procStat(pid); parent == os.Getpid() {
			all = append(all, fmt.Sprint(pid, " ", state))
		}
	}
	return all
}

// procStat gives state and parent of a process, empty if it is gone.
func procStat(pid int) (state string, parent int) {
	stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	if err != nil {
		return "", 0
	}
	_, after, _ := strings.Cut(string(stat), ") ")
	_, _ = fmt.Sscan(after, &state, &parent)
	return state, parent
}

// alive tells whether a process runs or could: one that waits to be collected does not.
func alive(pid int) bool {
	state, _ := procStat(pid)
	return state != "" && state != "Z"
}

// logBuffer is a log that can be read while it is written.
type logBuffer struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (b *logBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.Write(p)
}

func (b *logBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.String()
}

func (b *logBuffer) logger() *slog.Logger { return slog.New(slog.NewTextHandler(b, nil)) }
