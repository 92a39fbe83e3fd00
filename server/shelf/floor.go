package shelf

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
)

// Floor is the least revision of a manifest that is taken, and which manifest bore
// it. It is kept in a file of its own, which belongs outside the folder: who can write
// to the folder must not be able to lower it. Its methods may be called at once from
// several goroutines.
type Floor struct {
	path string

	mu     sync.Mutex
	least  uint64
	digest string // of the manifest of that revision; empty: not known
}

// OpenFloor reads the floor from its file; where there is none yet, every revision
// is taken. The file holds the revision and, behind it, its manifest's SHA-256, which
// may be missing.
func OpenFloor(path string) (*Floor, error) {
	f := &Floor{path: path}
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return f, nil
	}
	if err == nil {
		err = f.read(string(data))
	}
	if err != nil {
		return nil, fmt.Errorf("the least revision of packs cannot be read from %s: %w; put the number of the last good revision there", path, err)
	}
	return f, nil
}

func (f *Floor) read(text string) (err error) {
	words := strings.Fields(text)
	if len(words) == 0 || len(words) > 2 || len(words) == 2 && !digest.MatchString(words[1]) {
		return errors.New("it is no number and a digest")
	}
	if f.least, err = strconv.ParseUint(words[0], 10, 64); err != nil {
		return errors.New("it does not begin with a number")
	}
	f.digest = strings.Join(words[1:], "")
	return nil
}

// Least is the least revision that is taken.
func (f *Floor) Least() uint64 {
	if f == nil {
		return 0
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.least
}

// check refuses a manifest that is older than one that has served, or that is
// another one under the same number.
func (f *Floor) check(revision uint64, manifest string) error {
	if f == nil {
		return nil
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	switch {
	case revision < f.least:
		return fmt.Errorf("%s has revision %d and revision %d has served here already; an older one is not taken though its signature is good", ManifestFile, revision, f.least)
	case revision == f.least && f.digest != "" && manifest != f.digest:
		return fmt.Errorf("%s has revision %d and differs from the one that has served here with this number; give it a higher one", ManifestFile, revision)
	}
	return nil
}

// Raise records that the manifest of this digest serves, so that no older one is
// taken any more, and no other one of its revision.
func (f *Floor) Raise(revision uint64, manifest string) error {
	if f == nil {
		return nil
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if revision < f.least || revision == f.least && f.digest == manifest {
		return nil
	}
	return f.record(revision, manifest)
}

// Try tells whether a revision could be recorded, so that nothing serves of which the
// floor would not know.
func (f *Floor) Try() error {
	if f == nil {
		return nil
	}
	fresh, err := os.CreateTemp(filepath.Dir(f.path), ".floor")
	if err != nil {
		return fmt.Errorf("the revision that serves could not be recorded: %w; make the folder of the floor's file writable", err)
	}
	return errors.Join(fresh.Close(), os.Remove(fresh.Name()))
}

// Lower takes an older revision again on purpose, where the floor is still the one
// that the caller saw, so that a request for it that is left in place does not lower
// what has been raised since. It reports whether it did.
func (f *Floor) Lower(from, to uint64) (bool, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.least != from || to >= from {
		return false, nil
	}
	return true, f.record(to, "")
}

// record replaces the file whole; f.mu is held.
func (f *Floor) record(revision uint64, manifest string) error {
	fresh, err := os.CreateTemp(filepath.Dir(f.path), ".floor")
	if err != nil {
		return fmt.Errorf("the revision %d cannot be recorded: %w", revision, err)
	}
	_, err = fmt.Fprintln(fresh, revision, manifest)
	err = errors.Join(err, fresh.Sync(), fresh.Close())
	if err == nil {
		err = os.Rename(fresh.Name(), f.path)
	}
	if err != nil {
		_ = os.Remove(fresh.Name())
		return fmt.Errorf("the revision %d cannot be recorded: %w", revision, err)
	}
	f.least, f.digest = revision, manifest
	return nil
}
