package packs

import (
	"errors"
	"os/exec"
	"syscall"

	"golang.org/x/sys/unix"
)

// supported tells that packs can run here.
const supported = true

// groupAttributes put a process into a group of its own and let the kernel kill it
// when the thread that started it ends.
func groupAttributes() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}
}

// collect waits for a process to end and collects it. ended is called in between,
// while the process's number, and its group's, cannot have gone to another one.
func collect(cmd *exec.Cmd, ended func()) error {
	for {
		err := unix.Waitid(unix.P_PID, cmd.Process.Pid, nil, unix.WEXITED|unix.WNOWAIT, nil)
		if !errors.Is(err, unix.EINTR) {
			break
		}
	}
	ended()
	return cmd.Wait()
}
