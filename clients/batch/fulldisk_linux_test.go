package batch

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// onFullDisk names the folder over which a child lays a file system of its own.
const onFullDisk = "SLIPFIT_TEST_FULL_DISK"

// A file system that is really full: a tmpfs with room for half of the output, in a
// name space of the child's own. The place is named, and when there is room again the
// second run completes the first.
func TestAFileSystemThatIsFullIsNamedAndASecondRunCompletes(t *testing.T) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), onFullDisk+"="+t.TempDir())
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}},
	}
	out, err := cmd.CombinedOutput()
	switch {
	case errors.Is(err, syscall.EPERM), errors.Is(err, syscall.EINVAL), errors.Is(err, syscall.ENOSPC), strings.Contains(string(out), noMount):
		if os.Getenv("CI") != "" {
			t.Fatalf("a file system cannot be mounted in a name space of its own: %v %s", err, out)
		}
		t.Skipf("this kernel lets nobody mount in a name space of their own (%v %s)", err, out)
	case err != nil:
		t.Fatalf("%v: %s", err, out)
	}
}

// noMount is what the child says where it may not mount.
const noMount = "the kernel refuses the mount"

func fillDisk(dir string) error {
	size := func(kilobytes int, flags uintptr) error {
		return syscall.Mount("tmpfs", dir, "tmpfs", flags, fmt.Sprintf("size=%dk", kilobytes))
	}
	if err := size(400, 0); err != nil {
		return fmt.Errorf("%s: %w", noMount, err)
	}
	const n = 20_000
	out := filepath.Join(dir, "out.ndjson")
	run := func() error {
		s, err := NewLineSource("in", strings.NewReader(input(n)), 0, &Job{})
		if err != nil {
			return err
		}
		_, err = Run(context.Background(), s, &echo{}, Options{Output: out})
		return err
	}
	if err := run(); err == nil || !strings.Contains(err.Error(), "there is no room left for "+out) || !errors.Is(err, syscall.ENOSPC) {
		return fmt.Errorf("on the full file system: %w", err)
	}
	if err := size(8000, syscall.MS_REMOUNT); err != nil {
		return err
	}
	if err := run(); err != nil {
		return fmt.Errorf("with room again: %w", err)
	}
	got, err := os.ReadFile(out)
	if err != nil {
		return err
	}
	if string(got) != wanted(n) {
		return errors.New("the output is not the input's answer")
	}
	return nil
}
