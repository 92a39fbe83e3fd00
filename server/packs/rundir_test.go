//go:build linux

package packs

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// socketOf is the address of the only pack under a folder.
func socketOf(t *testing.T, dir string) string {
	t.Helper()
	for _, f := range filesUnder(t, dir) {
		if info, err := os.Lstat(f); err == nil && info.Mode().Type() == os.ModeSocket {
			return f
		}
	}
	t.Fatal("no socket")
	return ""
}

func TestSocketIsOutOfOtherUsersReach(t *testing.T) {
	dir := shortDir(t)
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	s := supervise(t, Options{Dir: dir, NoTLS: true}, self(t, "power", "serves"))
	live(t, s.Pack("power"))
	socket := socketOf(t, dir)
	for _, folder := range []string{filepath.Dir(socket), filepath.Dir(filepath.Dir(socket))} {
		info, err := os.Stat(folder)
		if err != nil || info.Mode().Perm() != 0o700 {
			t.Errorf("%s has the mode %v, %v", folder, info.Mode(), err)
		}
	}
	if os.Geteuid() != 0 {
		return // Only root can be somebody else for a moment.
	}
	if err := connectAs(0, socket); err != nil {
		t.Errorf("its own user cannot connect: %v", err)
	}
	if err := connectAs(65534, socket); err != unix.EACCES {
		t.Errorf("another user's connect gave %v, want %v", err, unix.EACCES)
	}
}

// connectAs connects as another user, on a thread that ends with it.
func connectAs(uid uintptr, socket string) error {
	result := make(chan error)
	go func() {
		runtime.LockOSThread() // Never unlocked.
		fd, err := unix.Socket(unix.AF_UNIX, unix.SOCK_STREAM, 0)
		if err != nil {
			result <- err
			return
		}
		defer unix.Close(fd)
		// The raw call changes this thread alone.
		if _, _, errno := unix.RawSyscall(unix.SYS_SETRESUID, uid, uid, uid); errno != 0 {
			result <- errno
			return
		}
		result <- unix.Connect(fd, &unix.SockaddrUnix{Name: socket})
	}()
	return <-result
}

func TestSocketRefusesWhoeverHasNoCertificate(t *testing.T) {
	dir := shortDir(t)
	s := supervise(t, Options{Dir: dir}, self(t, "power", "serves"))
	live(t, s.Pack("power"))
	conn, err := grpc.NewClient("unix://"+socketOf(t, dir), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if d, err := packv1.NewPackServiceClient(conn).Describe(ctx, &packv1.DescribeRequest{}); err == nil {
		t.Errorf("a stranger was told %v", d)
	}
}

func TestSweepTakesOnlyFoldersOfDeadHosts(t *testing.T) {
	parent := shortDir(t)
	alive, err := newRunDir(parent)
	if err != nil {
		t.Fatal(err)
	}
	dead, err := newRunDir(parent)
	if err != nil {
		t.Fatal(err)
	}
	_ = dead.owner.Close() // What the end of a process does to its locks.
	outside := filepath.Join(parent, "precious")
	makeAll(t, outside, filepath.Join(parent, runPrefix+"half-removed"), filepath.Join(parent, newRunPrefix+"young"), filepath.Join(parent, newRunPrefix+"old"))
	hourAgo := time.Now().Add(-time.Hour)
	if err := os.Chtimes(filepath.Join(parent, newRunPrefix+"old"), hourAgo, hourAgo); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, filepath.Join(parent, runPrefix+"link")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, filepath.Join(dead.path, "link")); err != nil {
		t.Fatal(err)
	}
	sweepStale(parent)
	want := []string{"precious", newRunPrefix + "young", filepath.Base(alive.path), runPrefix + "link"}
	var got []string
	for _, e := range runsIn(t, parent) {
		got = append(got, e.Name())
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("left %v\nwant %v", got, want)
	}
	if err := alive.remove(); err != nil {
		t.Error(err)
	}
}

func makeAll(t *testing.T, folders ...string) {
	t.Helper()
	for _, f := range folders {
		if err := os.Mkdir(f, 0o700); err != nil {
			t.Fatal(err)
		}
	}
}

func TestFolderTooLongForSocketsIsRefused(t *testing.T) {
	parent := filepath.Join(shortDir(t), strings.Repeat("long", 20))
	makeAll(t, parent)
	_, err := newRunDir(parent)
	if err == nil || !strings.Contains(err.Error(), "choose a shorter folder for sockets") {
		t.Errorf("error %v", err)
	}
	if left := filesUnder(t, parent); len(left) > 0 {
		t.Errorf("left %v", left)
	}
}
