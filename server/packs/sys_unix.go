//go:build unix

package packs

import (
	"fmt"
	"io/fs"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// killGroup kills a process and all others of its group. The process must not have
// been collected yet.
func killGroup(p *os.Process) {
	_ = syscall.Kill(-p.Pid, syscall.SIGKILL)
	// Where the group is not its own yet, the process alone.
	_ = p.Kill()
}

// standBack has a process that was just started, with all threads of its group, stand
// back behind others, by so much as nice(1) counts. Threads that come later inherit it.
func standBack(p *os.Process, niceness int) error {
	return unix.Setpriority(unix.PRIO_PGRP, p.Pid, niceness)
}

// tryLock takes the exclusive lock on an open file, or says that somebody holds it.
// The lock ends with the host, however that ends.
func tryLock(f *os.File) error {
	err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	if err != nil {
		return fmt.Errorf("locking %s: %w", f.Name(), err)
	}
	return nil
}

// isOwn tells whether a file belongs to the user of this process.
func isOwn(info fs.FileInfo) bool {
	stat, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(stat.Uid) == os.Geteuid()
}
