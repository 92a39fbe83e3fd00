package packs

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
)

// writeProgram puts a program in place by a rename, as an installer does.
func writeProgram(t *testing.T, path string, body []byte) {
	t.Helper()
	fresh := path + ".new"
	if err := os.WriteFile(fresh, body, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(fresh, path); err != nil {
		t.Fatal(err)
	}
}

// A check by path and a start by path leave a moment in which another file can be put
// there. The foreign program here is the same one with a byte more, which only the
// digest can tell apart.
func TestOnlyTheCheckedProgramRuns(t *testing.T) {
	own := self(t, "sealed", "serves")
	genuine, err := os.ReadFile(own.Command[0])
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(genuine)
	foreign := append(append([]byte(nil), genuine...), 0)
	foreignSum := sha256.Sum256(foreign)
	program := filepath.Join(shortDir(t), "program")
	writeProgram(t, program, genuine)

	var ended atomic.Bool
	swapped := make(chan struct{})
	go func() {
		defer close(swapped)
		for n := 0; !ended.Load(); n++ {
			writeProgram(t, program, [][]byte{foreign, genuine}[n%2])
		}
	}()
	o := Options{Restart: Restart{Stable: 1, First: 1, Longest: 1}}
	launch := own
	launch.Command, launch.SHA256 = []string{program}, strings.ToUpper(hex.EncodeToString(sum[:]))
	for range rounds(5) {
		s := supervise(t, o, launch)
		i := live(t, s.Pack("sealed"))
		ran, err := os.ReadFile("/proc/" + i.child.ID() + "/exe")
		if err != nil {
			t.Fatal(err)
		}
		if got := sha256.Sum256(ran); got != sum {
			t.Fatalf("a program of digest %x ran, the foreign one has %x", got, foreignSum)
		}
		// The copy serves for the next start as well, whatever lies there now.
		_ = syscall.Kill(i.PID(), syscall.SIGKILL)
		liveAfter(t, s.Pack("sealed"), i)
		if err := s.Stop(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	ended.Store(true)
	<-swapped
}

func TestProgramOfAnotherDigestIsRefused(t *testing.T) {
	launch := self(t, "sealed", "serves")
	launch.SHA256 = strings.Repeat("0", 64)
	s := supervise(t, once(), launch)
	err := s.Pack("sealed").Status().LastError
	if err == nil || !strings.Contains(err.Error(), "and not the stated 0000") || len(children()) > 0 {
		t.Errorf("error %v, processes %v", err, children())
	}
}

func TestSealedProgramCannotBeWritten(t *testing.T) {
	path := self(t, "", "").Command[0]
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(body)
	f, err := seal(path, hex.EncodeToString(sum[:]))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.WriteAt([]byte("x"), 0); err == nil {
		t.Error("a byte was changed")
	}
	if err := f.Truncate(1); err == nil {
		t.Error("it was cut")
	}
}

// What is put in a program's place between the check and the start may be anything.
func TestOnlyRegularFilesAreSealed(t *testing.T) {
	dir := shortDir(t)
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		pipe:                         "is no regular file",
		dir:                          "is no regular file",
		"/dev/zero":                  "is no regular file",
		filepath.Join(dir, "nobody"): "cannot be opened",
	} {
		if f, err := seal(path, strings.Repeat("0", 64)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: file %v, error %v", path, f, err)
		}
	}
}
