//go:build linux

package packs

import (
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"sync"
	"syscall"
	"testing"
	"time"
)

// rounds scales a repeated fault to the time at hand.
func rounds(n int) int {
	if testing.Short() {
		return max(n/10, 1)
	}
	return n
}

func TestKilledHostLeavesNoPackAndTheNextHostNoFolder(t *testing.T) {
	dir := shortDir(t)
	for range rounds(20) {
		host := exec.Command(self(t, "", "").Command[0])
		host.Env = []string{envMode + "=host", envHint + "=" + dir}
		out, err := host.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := host.Start(); err != nil {
			t.Fatal(err)
		}
		var left, right int
		_, err = fmt.Fscan(out, &left, &right)
		_ = host.Process.Kill()
		_ = host.Wait()
		if err != nil || left == 0 || right == 0 {
			t.Fatalf("the host started %d and %d: %v", left, right, err)
		}
		eventually(t, 2*time.Second, "a pack lives on", func() bool { return !alive(left) && !alive(right) })
		// Each host sweeps what the one before left.
		if n := len(runsIn(t, dir)); n != 1 {
			t.Fatalf("%d folders, want that of the last host", n)
		}
	}
	// This supervisor's own end looks whether the last one is swept.
	supervise(t, Options{Dir: dir}, self(t, "after", "serves"))
}

func runsIn(t *testing.T, dir string) []os.DirEntry {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	return entries
}

// A parent-death signal comes when the thread ends that started the process: see
// PR_SET_PDEATHSIG in prctl(2). Go ends a locked thread with its goroutine.
func TestPackOutlivesTheThreadThatAskedForIt(t *testing.T) {
	s := newSpawner()
	var started sync.WaitGroup
	commands := make([]*exec.Cmd, 12)
	for n := range commands {
		started.Go(func() {
			runtime.LockOSThread() // The thread ends here.
			commands[n] = exec.Command("sleep", "3600")
			commands[n].SysProcAttr = groupAttributes()
			if err := s.start(commands[n]); err != nil {
				t.Error(err)
			}
		})
	}
	started.Wait()
	time.Sleep(300 * time.Millisecond)
	for _, c := range commands {
		if !alive(c.Process.Pid) {
			t.Errorf("process %d died with a thread", c.Process.Pid)
		}
	}
	// The end of the spawner's own thread does what the end of the host would.
	s.close()
	for _, c := range commands {
		eventually(t, 2*time.Second, "a process outlives the spawner", func() bool { return !alive(c.Process.Pid) })
		_ = c.Wait()
	}
	if err := s.start(exec.Command("sleep", "1")); err == nil {
		t.Error("a closed spawner starts")
	}
}

func TestEndOfAPackTakesItsOffspringAlong(t *testing.T) {
	s := supervise(t, patient(), self(t, "parent", "serves"))
	for _, end := range []func(*Instance){
		func(i *Instance) { _ = syscall.Kill(i.PID(), syscall.SIGKILL) },
		func(i *Instance) { _, _ = tell(i, "exit") },
		func(i *Instance) { i.Recycle(fmt.Errorf("the test wants it")) },
	} {
		i := live(t, s.Pack("parent"))
		offspring, err := strconv.Atoi(mustTell(t, i, "offspring"))
		if err != nil || !alive(offspring) {
			t.Fatalf("offspring %d: %v", offspring, err)
		}
		end(i)
		liveAfter(t, s.Pack("parent"), i)
		eventually(t, 3*time.Second, "the offspring lives on", func() bool { return !alive(offspring) })
	}
}

func TestManyKillsLeaveNoSocketAndNoZombie(t *testing.T) {
	o := patient()
	o.Dir = shortDir(t)
	o.Logger = slog.New(slog.DiscardHandler)
	s := supervise(t, o, self(t, "left", "serves"), self(t, "right", "serves"))
	kills := rounds(50)
	var wg sync.WaitGroup
	for _, p := range s.Packs() {
		wg.Go(func() {
			for range kills / 2 {
				i := live(t, p)
				_ = syscall.Kill(i.PID(), syscall.SIGKILL)
				if !isClosedWithin(i.Done(), 10*time.Second) {
					t.Errorf("%s: the instance is not done", p.Name())
					return
				}
			}
		})
	}
	wg.Wait()
	for _, p := range s.Packs() {
		live(t, p)
		if got := p.Status().Restarts; got != kills/2 {
			t.Errorf("%s: %d restarts, want %d", p.Name(), got, kills/2)
		}
	}
	eventually(t, 5*time.Second, "other processes than the two packs", func() bool { return len(children()) == 2 })
	// The run's folder with its lock, and a folder with a socket for each pack.
	eventually(t, 5*time.Second, "other files than the two packs'", func() bool { return len(filesUnder(t, o.Dir)) == 6 })
}
