package shelf

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"syscall"
	"time"
)

// settled is how old a change of a file must be before its time stamp tells it from
// the next change: file systems count time in steps.
const settled = 2 * time.Second

// stamp is how a program's file looked when it was compared with its digest.
type stamp struct {
	info   os.FileInfo
	sha256 string
}

// checkProgram compares a program's digest and returns its size. A file that has not
// changed since is not read again. Whoever runs it compares once more, with the very
// bytes that run.
func (f *Folder) checkProgram(root *os.Root, e Entry) (size int64, err error) {
	file, info, err := openRegular(root, e.Program)
	if err != nil {
		return 0, fmt.Errorf("the program of pack %s: %w", e, err)
	}
	defer func() { _ = file.Close() }()
	if info.Size() > MaxProgram {
		return 0, fmt.Errorf("the program %s of pack %s has %d bytes, more than the %d allowed", e.Program, e.Name, info.Size(), MaxProgram)
	}
	got := f.remembered(e.Program, info)
	if got == "" {
		sum := sha256.New()
		if _, err := io.Copy(sum, io.LimitReader(considerate{file}, MaxProgram+1)); err != nil {
			return 0, fmt.Errorf("the program of pack %s cannot be read: %w", e, err)
		}
		got = hex.EncodeToString(sum.Sum(nil))
		f.remember(e.Program, info, got)
	}
	if got != e.SHA256 {
		return 0, fmt.Errorf("the program %s of pack %s has the SHA-256 %s and not the stated %s; install the stated one", e.Program, e.Name, got, e.SHA256)
	}
	return info.Size(), nil
}

// considerate lets others have the processor after each piece: a large program is
// summed up while checks are answered.
type considerate struct{ io.Reader }

// Read implements io.Reader.
func (c considerate) Read(p []byte) (int, error) {
	runtime.Gosched()
	return c.Reader.Read(p)
}

// remembered is the digest of a file that has not changed since it was read.
func (f *Folder) remembered(name string, info os.FileInfo) string {
	f.mu.Lock()
	defer f.mu.Unlock()
	s, ok := f.checked[name]
	if !ok || !os.SameFile(s.info, info) || s.info.Size() != info.Size() || !s.info.ModTime().Equal(info.ModTime()) {
		return ""
	}
	return s.sha256
}

// remember keeps a digest where a later change would show in the file's time.
func (f *Folder) remember(name string, info os.FileInfo, sum string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.checked == nil || len(f.checked) > MaxPacks {
		f.checked = map[string]stamp{}
	}
	delete(f.checked, name)
	if time.Since(info.ModTime()) > settled {
		f.checked[name] = stamp{info, sum}
	}
}

// openRegular opens a regular file of the folder and nothing else. What it opens is
// looked at once more, and a pipe put there in between does not hold it up.
func openRegular(root *os.Root, name string) (*os.File, os.FileInfo, error) {
	info, err := root.Lstat(name)
	if err != nil {
		return nil, nil, fmt.Errorf("%s cannot be looked at: %w", name, errors.Unwrap(err))
	}
	irregular := fmt.Errorf("%s is no regular file; links are not followed", name)
	if !info.Mode().IsRegular() {
		return nil, nil, irregular
	}
	file, err := root.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, nil, fmt.Errorf("%s cannot be read: %w", name, errors.Unwrap(err))
	}
	if info, err = file.Stat(); err == nil && !info.Mode().IsRegular() {
		err = irregular
	}
	if err != nil {
		_ = file.Close()
		return nil, nil, err
	}
	return file, info, nil
}

// readWhole reads a regular file of limited size.
func readWhole(root *os.Root, name string, limit int64) ([]byte, error) {
	file, _, err := openRegular(root, name)
	if err != nil {
		return nil, err
	}
	defer func() { _ = file.Close() }()
	data, err := io.ReadAll(io.LimitReader(file, limit+1))
	if err == nil && int64(len(data)) > limit {
		err = fmt.Errorf("it has more than %d bytes", limit)
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", name, err)
	}
	return data, nil
}
