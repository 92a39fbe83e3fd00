package process

import (
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// guardStdout takes file descriptor 1 away from the pipe that the host reads the
// handshake line from. os.Stdout keeps that pipe until go-plugin has printed the
// line and replaced it; whatever writes to descriptor 1 itself, C code for one, goes to
// standard error, which the host reads line by line and with a limit.
func guardStdout() error {
	kept, err := unix.FcntlInt(1, unix.F_DUPFD_CLOEXEC, 3)
	if err != nil {
		return fmt.Errorf("duplicating standard output: %w", err)
	}
	if err := unix.Dup3(2, 1, 0); err != nil {
		_ = unix.Close(kept)
		return fmt.Errorf("pointing descriptor 1 at standard error: %w", err)
	}
	os.Stdout = os.NewFile(uintptr(kept), "handshake")
	return nil
}
