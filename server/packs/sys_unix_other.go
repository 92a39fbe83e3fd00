//go:build unix && !linux

package packs

import (
	"os/exec"
	"syscall"
)

// supported tells that packs can run here.
const supported = true

// groupAttributes put a process into a group of its own. Without a parent-death
// signal, the pack's own watch ends it when the host is killed.
func groupAttributes() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Setpgid: true}
}

// collect waits for a process to end and collects it, then calls ended: waiting
// without collecting is not possible here.
func collect(cmd *exec.Cmd, ended func()) error {
	err := cmd.Wait()
	ended()
	return err
}
