// Package catalogue keeps the parts that an operator mounts: read and validated once,
// and again when a file has changed.
package catalogue

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/shortlist"
)

// endings are those of the files that are read: YAML with several parts a file, JSON
// lines, and JSON.
var endings = []string{".yaml", ".yml", ".ndjson", ".jsonl", ".json"}

// Endings are those of part files.
func Endings() []string { return slices.Clone(endings) }

// Holds reports whether a file of that name is a part file.
func Holds(name string) bool { return slices.Contains(endings, strings.ToLower(filepath.Ext(name))) }

// mostFaults is how many bad entries an error tells of.
const mostFaults = 8

// Catalogue is the parts below one folder. It is safe for use by several goroutines.
type Catalogue struct {
	dir       string
	validator *document.Validator
	log       *slog.Logger
	now       atomic.Pointer[edition]
}

// edition is one state of the folder. It never changes.
type edition struct {
	stamp   string
	entries []shortlist.Entry // by their ids; places are not set
}

// Open reads the part files below a folder. The error names bad entries with their
// places: an operator mends them before the service starts.
func Open(dir string, validator *document.Validator, log *slog.Logger) (*Catalogue, error) {
	c := &Catalogue{dir: dir, validator: validator, log: log}
	fresh, err := c.read()
	if err != nil {
		return nil, err
	}
	c.now.Store(fresh)
	return c, nil
}

// Keep looks at the folder once in every period and takes changes in, until ctx ends.
// A state that is bad is logged once, and the last good one stays.
func (c *Catalogue) Keep(ctx context.Context, period time.Duration) {
	refused := ""
	tick := time.NewTicker(period)
	defer tick.Stop()
	for {
		select {
		case <-tick.C:
		case <-ctx.Done():
			return
		}
		stamp, _, err := c.files()
		if err != nil || stamp == c.now.Load().stamp || stamp == refused {
			continue
		}
		if fresh, err := c.read(); err != nil {
			refused = stamp
			c.log.Error("the catalogue as it lies is refused, the last good one stays", "folder", c.dir, "error", err)
		} else {
			refused = ""
			c.now.Store(fresh)
			c.log.Info("the catalogue was read again", "folder", c.dir, "parts", len(fresh.entries))
		}
	}
}

// Len is how many parts there are.
func (c *Catalogue) Len() int { return len(c.now.Load().entries) }

// OfKinds are the parts of some kinds, in the order of their ids, each with its place
// among them.
func (c *Catalogue) OfKinds(kinds []string) []shortlist.Entry {
	var out []shortlist.Entry
	for _, e := range c.now.Load().entries {
		if slices.Contains(kinds, e.Kind) {
			e.Place = uint64(len(out))
			out = append(out, e)
		}
	}
	return out
}

// files lists the part files, and what changes when one of them does.
func (c *Catalogue) files() (stamp string, names []string, err error) {
	var b strings.Builder
	err = filepath.WalkDir(c.dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !Holds(path) {
			return err
		}
		info, err := os.Stat(path)
		if err != nil {
			return err
		}
		names = append(names, path)
		fmt.Fprintf(&b, "%s %d %d\n", path, info.Size(), info.ModTime().UnixNano())
		return nil
	})
	if err != nil {
		return "", nil, fmt.Errorf("the catalogue's folder cannot be read: %w", err)
	}
	return b.String(), names, nil
}

func (c *Catalogue) read() (*edition, error) {
	stamp, names, err := c.files()
	if err != nil {
		return nil, err
	}
	fresh := &edition{stamp: stamp}
	var faults []error
	seen := map[string]string{}
	for _, name := range names {
		file, err := os.Open(name)
		if err != nil {
			return nil, fmt.Errorf("a file of the catalogue cannot be opened: %w", err)
		}
		for entry := range document.ReadAll(name, file, document.Options{}, func() *v1.Part { return new(v1.Part) }) {
			e, err := c.entry(entry)
			if err == nil && seen[e.ID] != "" {
				err = fmt.Errorf("%s:%d: the part %q stands in %s already; give it another id", name, entry.Line, e.ID, seen[e.ID])
			}
			if err != nil {
				faults = append(faults, err)
				continue
			}
			seen[e.ID] = name
			fresh.entries = append(fresh.entries, e)
		}
		if err := file.Close(); err != nil {
			return nil, fmt.Errorf("a file of the catalogue cannot be read: %w", err)
		}
	}
	if len(faults) > 0 {
		return nil, fmt.Errorf("the catalogue has %d bad entries:\n%w", len(faults), errors.Join(faults[:min(len(faults), mostFaults)]...))
	}
	if len(fresh.entries) == 0 {
		return nil, fmt.Errorf("the folder %s holds no parts; parts stand in files that end in %s", c.dir, strings.Join(endings, ", "))
	}
	slices.SortFunc(fresh.entries, func(a, b shortlist.Entry) int { return cmp.Compare(a.ID, b.ID) })
	return fresh, nil
}

// entry encodes one part and holds it against the rules of documents.
func (c *Catalogue) entry(entry document.Entry[*v1.Part]) (e shortlist.Entry, err error) {
	if entry.Err != nil {
		return e, entry.Err
	}
	where := fmt.Sprintf("%s:%d", entry.File, entry.Line)
	if entry.Message.GetId() == "" {
		return e, fmt.Errorf("%s: the part has no id; a catalogue's entries are named by theirs", where)
	}
	encoded, err := proto.Marshal(entry.Message)
	if err != nil {
		return e, fmt.Errorf("%s: the part cannot be encoded: %w", where, err)
	}
	if e = shortlist.Read(c.validator, 0, encoded); e.Refusal != nil {
		return e, fmt.Errorf("%s: %s", where, e.Refusal.GetReason())
	}
	return e, nil
}
