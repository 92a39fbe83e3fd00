package packs

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"

	"golang.org/x/sys/unix"
)

// seal copies a program into memory that nobody can write any more, compares its
// digest, and returns the open copy. What was checked is then what runs.
func seal(path, want string) (*os.File, error) {
	source, err := openProgram(path)
	if err != nil {
		return nil, err
	}
	defer source.Close()
	fd, err := unix.MemfdCreate("pack", unix.MFD_CLOEXEC|unix.MFD_ALLOW_SEALING)
	if err != nil {
		return nil, fmt.Errorf("taking memory for %s: %w", path, err)
	}
	sealed := os.NewFile(uintptr(fd), "sealed copy of "+path)
	sum := sha256.New()
	if err := copyProgram(io.MultiWriter(sealed, sum), source); err != nil {
		_ = sealed.Close()
		return nil, fmt.Errorf("reading %s: %w", path, err)
	}
	if got := hex.EncodeToString(sum.Sum(nil)); !strings.EqualFold(got, want) {
		_ = sealed.Close()
		return nil, fmt.Errorf("the program %s has the SHA-256 %s and not the stated %s; install the stated one or state the new digest", path, got, want)
	}
	const all = unix.F_SEAL_SEAL | unix.F_SEAL_SHRINK | unix.F_SEAL_GROW | unix.F_SEAL_WRITE
	if _, err := unix.FcntlInt(sealed.Fd(), unix.F_ADD_SEALS, all); err != nil {
		_ = sealed.Close()
		return nil, fmt.Errorf("sealing the copy of %s: %w", path, err)
	}
	return sealed, nil
}

// largestProgram bounds what is copied, in bytes: what lies there may have been
// exchanged for something without an end.
const largestProgram = 1 << 30

// openProgram opens a regular file. A pipe in its place does not hold it up.
func openProgram(path string) (*os.File, error) {
	source, err := os.OpenFile(path, os.O_RDONLY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, fmt.Errorf("its program cannot be opened: %w", err)
	}
	info, err := source.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = fmt.Errorf("its program %s is no regular file", path)
	}
	if err != nil {
		_ = source.Close()
		return nil, err
	}
	return source, nil
}

// copyProgram copies piece by piece and lets others have the processor in between:
// checks are answered meanwhile.
func copyProgram(to io.Writer, from io.Reader) error {
	const piece = 256 << 10
	for copied := int64(0); ; copied += piece {
		if copied >= largestProgram {
			return fmt.Errorf("it has more than %d bytes", largestProgram)
		}
		if _, err := io.CopyN(to, from, piece); err != nil {
			if errors.Is(err, io.EOF) {
				return nil
			}
			return err
		}
		runtime.Gosched()
	}
}
