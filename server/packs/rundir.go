package packs

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

const (
	runPrefix    = "slipfit-packs-"
	newRunPrefix = "slipfit-new-"
	ownerFile    = "owner"
	// staleNew is the age from which a folder that never became a run's is swept.
	staleNew = time.Minute
	// longestSocketPath is sun_path of Linux's unix(7), 108 bytes with the
	// terminating one; other systems have 104.
	longestSocketPath = 103
	// socketTail is the longest that go-plugin adds: a folder and a socket, each with
	// up to ten digits.
	socketTail = len("/plugin-dir4294967295/plugin4294967295")
)

// runDir is the private folder of one supervisor. Each process gets a folder in it
// for its socket. A lock on a file in it says that its owner lives.
type runDir struct {
	path  string
	owner *os.File
}

// newRunDir makes the folder under parent and sweeps those of dead hosts.
func newRunDir(parent string) (*runDir, error) {
	parent, err := filepath.Abs(parent)
	if err != nil {
		return nil, fmt.Errorf("finding the folder for sockets: %w", err)
	}
	sweepStale(parent)
	// The folder gets its final name when its lock is held, so that no other host's
	// sweep can take it for stale.
	fresh, err := os.MkdirTemp(parent, newRunPrefix)
	if err != nil {
		return nil, fmt.Errorf("making a private folder for sockets: %w", err)
	}
	d, err := claim(parent, fresh)
	if err != nil {
		_ = os.RemoveAll(fresh)
		return nil, err
	}
	return d, nil
}

// claim locks a fresh folder and gives it its final name.
func claim(parent, fresh string) (*runDir, error) {
	path := filepath.Join(parent, runPrefix+strings.TrimPrefix(filepath.Base(fresh), newRunPrefix))
	if n := len(path) + socketTail; n > longestSocketPath {
		return nil, fmt.Errorf("a socket under %s would have a path of %d bytes, more than the %d that systems allow; choose a shorter folder for sockets", parent, n, longestSocketPath)
	}
	owner, err := os.OpenFile(filepath.Join(fresh, ownerFile), os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	if err != nil {
		return nil, fmt.Errorf("making the lock of the socket folder: %w", err)
	}
	if err := tryLock(owner); err != nil {
		return nil, errors.Join(err, owner.Close())
	}
	if err := os.Rename(fresh, path); err != nil {
		return nil, errors.Join(fmt.Errorf("naming the socket folder: %w", err), owner.Close())
	}
	return &runDir{path: path, owner: owner}, nil
}

// remove sweeps the folder and gives up its lock.
func (d *runDir) remove() error {
	err := os.RemoveAll(d.path)
	return errors.Join(err, d.owner.Close())
}

// sweepStale removes the folders of this user's hosts that are dead. What it cannot
// look into it leaves: another host may be just removing it.
func sweepStale(parent string) {
	entries, err := os.ReadDir(parent)
	if err != nil {
		return
	}
	for _, e := range entries {
		path := filepath.Join(parent, e.Name())
		info, err := os.Lstat(path)
		if err != nil || !info.IsDir() || !isOwn(info) {
			continue
		}
		switch {
		case strings.HasPrefix(e.Name(), newRunPrefix):
			if time.Since(info.ModTime()) > staleNew {
				_ = os.RemoveAll(path)
			}
		case strings.HasPrefix(e.Name(), runPrefix):
			removeIfDead(path)
		}
	}
}

func removeIfDead(path string) {
	owner, err := os.OpenFile(filepath.Join(path, ownerFile), os.O_RDWR, 0)
	if errors.Is(err, fs.ErrNotExist) {
		_ = os.RemoveAll(path)
		return
	}
	if err != nil {
		return
	}
	defer owner.Close()
	if tryLock(owner) == nil {
		_ = os.RemoveAll(path)
	}
}
