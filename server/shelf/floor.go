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

// Floor is the least revision of a manifest that is taken. It is kept in a file of
// its own, which belongs outside the folder: who can write to the folder must not be
// able to lower it. Its methods may be called at once from several goroutines.
type Floor struct {
	path string

	mu    sync.Mutex
	least uint64
}

// OpenFloor reads the floor from its file; where there is none yet, every revision
// is taken. To take an older one on purpose, change the file by hand.
func OpenFloor(path string) (*Floor, error) {
	f := &Floor{path: path}
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return f, nil
	}
	if err == nil {
		f.least, err = strconv.ParseUint(strings.TrimSpace(string(data)), 10, 64)
	}
	if err != nil {
		return nil, fmt.Errorf("the least revision of packs cannot be read from %s: %w; put the number of the last good revision there", path, err)
	}
	return f, nil
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

func (f *Floor) check(revision uint64) error {
	if least := f.Least(); revision < least {
		return fmt.Errorf("%s has revision %d and revision %d has served here already; an older one is not taken though its signature is good", ManifestFile, revision, least)
	}
	return nil
}

// Raise records that a revision serves, so that no older one is taken any more. The
// file is replaced whole.
func (f *Floor) Raise(revision uint64) error {
	if f == nil {
		return nil
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if revision <= f.least {
		return nil
	}
	fresh, err := os.CreateTemp(filepath.Dir(f.path), ".floor")
	if err != nil {
		return fmt.Errorf("the revision %d cannot be recorded: %w", revision, err)
	}
	_, err = fmt.Fprintln(fresh, revision)
	err = errors.Join(err, fresh.Sync(), fresh.Close())
	if err == nil {
		err = os.Rename(fresh.Name(), f.path)
	}
	if err != nil {
		_ = os.Remove(fresh.Name())
		return fmt.Errorf("the revision %d cannot be recorded: %w", revision, err)
	}
	f.least = revision
	return nil
}
