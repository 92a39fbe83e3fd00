package packs

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/sys/unix"
)

// seal copies a program into memory that nobody can write any more, compares its
// digest, and returns the open copy. What was checked is then what runs.
func seal(path, want string) (*os.File, error) {
	source, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("opening the program: %w", err)
	}
	defer source.Close()
	fd, err := unix.MemfdCreate("pack", unix.MFD_CLOEXEC|unix.MFD_ALLOW_SEALING)
	if err != nil {
		return nil, fmt.Errorf("taking memory for %s: %w", path, err)
	}
	sealed := os.NewFile(uintptr(fd), "sealed copy of "+path)
	sum := sha256.New()
	if _, err := io.Copy(io.MultiWriter(sealed, sum), source); err != nil {
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
