package main

import (
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"slipfit.example/server/shelf"
)

// shelfOptions are the flags about the folder of external packs.
type shelfOptions struct {
	path         string
	keys         []string
	floor        string
	lower        string
	unsigned     bool
	interpreters interpreters
}

func (o *shelfOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.path, "pack-folder", "", "serve the external packs of `FOLDER` too, and follow its changes")
	f.StringSliceVar(&o.keys, "pack-keys", nil, "trust what the public keys of `FILES` have signed, in minisign's format")
	f.StringVar(&o.floor, "pack-floor", "", "keep the least revision of the folder in `FILE`, outside the folder")
	f.StringVar(&o.lower, "pack-floor-lower", "", "take an older revision again: lower the floor, where it is FROM, to TO, as `FROM:TO`")
	f.BoolVar(&o.unsigned, "allow-unsigned-packs", false, "run external packs that nobody has signed; for development only")
	o.interpreters.flag(f)
}

// folder is the folder that the flags name, nil where they name none.
func (o *shelfOptions) folder(log *slog.Logger) (*shelf.Folder, error) {
	switch {
	case o.path == "":
		if len(o.keys) > 0 || o.floor != "" || o.lower != "" || o.unsigned || len(o.interpreters) > 0 {
			return nil, errors.New("--pack-keys, --pack-floor, --pack-floor-lower, --pack-interpreter and --allow-unsigned-packs are about --pack-folder; name it")
		}
		return nil, nil
	case len(o.keys) == 0 && !o.unsigned:
		return nil, errors.New("--pack-folder wants --pack-keys, the public keys that may sign it")
	case o.floor == "" && !o.unsigned:
		return nil, errors.New("--pack-folder wants --pack-floor, a file outside the folder that keeps old manifests from coming back")
	case o.floor == "" && o.lower != "":
		return nil, errors.New("--pack-floor-lower is about --pack-floor; name it")
	}
	path, err := filepath.Abs(o.path)
	if err != nil {
		return nil, fmt.Errorf("--pack-folder %s cannot be found: %w", o.path, err)
	}
	out := &shelf.Folder{Path: path, AllowUnsigned: o.unsigned, Interpreters: o.interpreters}
	for _, name := range o.keys {
		text, err := os.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("public key %s cannot be read: %w", name, errors.Unwrap(err))
		}
		key, err := shelf.ParseKey(string(text))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		out.Keys = append(out.Keys, key)
	}
	if o.floor == "" {
		return out, nil
	}
	out.Floor, err = o.openFloor(log)
	return out, err
}

// openFloor reads the floor, and lowers it where that is asked for.
func (o *shelfOptions) openFloor(log *slog.Logger) (*shelf.Floor, error) {
	if liesIn(o.floor, o.path) {
		return nil, fmt.Errorf("--pack-floor %s lies in the pack folder, where whoever writes packs could lower it; keep it elsewhere", o.floor)
	}
	floor, err := shelf.OpenFloor(o.floor)
	if err != nil || o.lower == "" {
		return floor, err
	}
	from, to, err := fromTo(o.lower)
	if err != nil {
		return nil, err
	}
	lowered, err := floor.Lower(from, to)
	switch {
	case err != nil:
		return nil, err
	case lowered:
		log.Warn("the least revision of packs was lowered on purpose; older packs may serve again", "from", from, "to", to, "floor", o.floor)
	default:
		log.Info("the least revision of packs is not the one to lower and stays", "least", floor.Least(), "asked", o.lower)
	}
	return floor, nil
}

func fromTo(text string) (from, to uint64, err error) {
	left, right, _ := strings.Cut(text, ":")
	from, err = strconv.ParseUint(left, 10, 64)
	if err == nil {
		to, err = strconv.ParseUint(right, 10, 64)
	}
	if err != nil || to >= from {
		return 0, 0, fmt.Errorf("--pack-floor-lower is FROM:TO, two revisions of which the second is the lower, such as 7:5, not %q", text)
	}
	return from, to, nil
}

// liesIn tells whether a file lies in a folder, links followed.
func liesIn(file, folder string) bool {
	dir, err := filepath.EvalSymlinks(filepath.Dir(file))
	if err != nil {
		dir = filepath.Dir(file)
	}
	if real, err := filepath.EvalSymlinks(folder); err == nil {
		folder = real
	}
	dir, err = filepath.Abs(dir)
	if err != nil {
		return false
	}
	if folder, err = filepath.Abs(folder); err != nil {
		return false
	}
	inside, err := filepath.Rel(folder, dir)
	return err == nil && inside != ".." && !strings.HasPrefix(inside, ".."+string(filepath.Separator))
}

// interpreters is a flag that names what may run packs: NAME=COMMAND, given again for
// each.
type interpreters map[string][]string

func (i *interpreters) flag(f *pflag.FlagSet) {
	f.Var(i, "pack-interpreter", "let packs be run by `NAME=COMMAND`, such as 'python3=/usr/bin/python3 -I'; may be given again")
}

// Set implements pflag.Value.
func (i *interpreters) Set(text string) error {
	name, command, ok := strings.Cut(text, "=")
	words := strings.Fields(command)
	if !ok || name == "" || len(words) == 0 {
		return errors.New("it is NAME=COMMAND, such as 'python3=/usr/bin/python3 -I'")
	}
	if !filepath.IsAbs(words[0]) {
		return fmt.Errorf("name the program of %s by its whole path, so that nothing else is found in its place", name)
	}
	if *i == nil {
		*i = interpreters{}
	}
	(*i)[name] = words
	return nil
}

// String implements pflag.Value.
func (i *interpreters) String() string { return "" }

// Type implements pflag.Value.
func (i *interpreters) Type() string { return "NAME=COMMAND" }
