package document

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"

	"google.golang.org/protobuf/proto"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// FileResolver gives a function for [Options.Resolve] that reads part files
// below the folder root. A part file holds one part, several as documents of a
// YAML or NDJSON stream, or a list; an element may itself be a reference. A
// reference is "file.yaml#id", or "file.yaml" where the file holds one part. It
// is relative to the folder of the document that it stands in, whose name is
// taken relative to root where it is not absolute. What lies outside of root,
// also by a symbolic link, is refused. Files are read once; the function may be
// called from several goroutines.
func FileResolver(root string) func(fromFile, ref string) (*slipfitv1.Part, error) {
	shelf := &partShelf{root: root, files: map[string]*partFile{}}
	return func(fromFile, ref string) (*slipfitv1.Part, error) {
		shelf.mu.Lock()
		defer shelf.mu.Unlock()
		part, err := shelf.part(fromFile, ref, nil)
		if err != nil {
			return nil, err
		}
		return proto.CloneOf(part), nil
	}
}

// maxPartFile is the greatest size of a part file in bytes.
const maxPartFile = 64 << 20

// partShelf holds the part files that were read.
type partShelf struct {
	root  string
	mu    sync.Mutex
	files map[string]*partFile
}

// partFile is what one part file holds.
type partFile struct {
	entries []partEntry
	ids     []string
	err     error
}

// partEntry is a part, or a reference to one.
type partEntry struct {
	part *slipfitv1.Part
	ref  string
	line int
	err  error
}

// part follows a reference; trail holds those that led here.
func (s *partShelf) part(fromFile, ref string, trail []string) (*slipfitv1.Part, error) {
	if ref == "" {
		return nil, errors.New("the reference is empty; write a file's name, or a file's name and an id as in fans.yaml#stille-120")
	}
	name, id, hasID := strings.Cut(ref, "#")
	if name == "" {
		name = filepath.ToSlash(fromFile)
	} else {
		name = path.Join(path.Dir(filepath.ToSlash(fromFile)), name)
	}
	name, err := s.relative(name)
	if err != nil {
		return nil, err
	}
	step := name
	if hasID {
		step += "#" + id
	}
	for _, before := range trail {
		if before == step {
			return nil, fmt.Errorf("the references lead round in a circle: %s", strings.Join(append(trail, step), " -> "))
		}
	}
	file := s.open(name)
	if file.err != nil {
		return nil, file.err
	}
	found, err := file.choose(name, id, hasID)
	if err != nil {
		return nil, err
	}
	if found.err != nil {
		return nil, found.err
	}
	if found.part == nil {
		return s.part(filepath.Join(s.root, filepath.FromSlash(name)), found.ref, append(trail, step))
	}
	return found.part, nil
}

// relative gives a name below the root with forward slashes.
func (s *partShelf) relative(name string) (string, error) {
	local := filepath.FromSlash(name)
	if filepath.IsAbs(local) {
		base, err := filepath.Abs(s.root)
		if err == nil {
			local, err = filepath.Rel(base, local)
		}
		if err != nil {
			return "", fmt.Errorf("%s does not lie in the folder of the parts, %s", name, s.root)
		}
	} else if below, err := filepath.Rel(s.root, local); err == nil && filepath.IsLocal(below) && s.root != "." {
		// A document that was named by a path that starts with the root's.
		local = below
	}
	if !filepath.IsLocal(local) {
		return "", fmt.Errorf("%s does not lie in the folder of the parts, %s; move it there", name, s.root)
	}
	return path.Clean(filepath.ToSlash(local)), nil
}

// open reads a part file, once.
func (s *partShelf) open(name string) *partFile {
	if file, ok := s.files[name]; ok {
		return file
	}
	file := &partFile{}
	s.files[name] = file
	file.err = s.load(name, file)
	return file
}

func (s *partShelf) load(name string, file *partFile) error {
	root, err := os.OpenRoot(s.root)
	if err != nil {
		return fmt.Errorf("the folder of the parts cannot be opened: %w", err)
	}
	defer func() { _ = root.Close() }()
	opened, err := root.Open(filepath.FromSlash(name))
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("there is no file %s in %s%s", name, s.root, s.neighbour(name))
		}
		return fmt.Errorf("the file %s cannot be opened: %w", name, err)
	}
	defer func() { _ = opened.Close() }()
	if info, err := opened.Stat(); err != nil || !info.Mode().IsRegular() || info.Size() > maxPartFile {
		return fmt.Errorf("%s is not a file of at most %d bytes", name, maxPartFile)
	}
	for raw, err := range split(name, opened, FormatUnknown) {
		file.add(name, raw, err)
	}
	if len(file.entries) == 0 {
		return fmt.Errorf("the file %s holds no part", name)
	}
	return nil
}

// neighbour suggests a file of the same folder.
func (s *partShelf) neighbour(name string) string {
	listed, err := os.ReadDir(filepath.Join(s.root, filepath.FromSlash(path.Dir(name))))
	if err != nil {
		return ""
	}
	var names []string
	for _, entry := range listed {
		names = append(names, entry.Name())
	}
	return didYouMean(path.Base(name), names)
}

// add takes the parts of one document of a part file.
func (f *partFile) add(name string, raw piece, err error) {
	if err != nil {
		f.entries = append(f.entries, partEntry{line: raw.line, err: within(err, name, 0)})
		return
	}
	if raw.format == FormatBinary {
		part := &slipfitv1.Part{}
		f.take(partEntry{part: part, err: within(decode(raw.data, part), name, 0)})
		return
	}
	root, err := parse(raw.format, raw.data)
	if err != nil {
		f.take(partEntry{line: raw.line, err: within(shift(err, raw.line-1), name, 0)})
		return
	}
	moveDown(root, raw.line-1, map[*node]bool{})
	roots := []*node{root}
	if root.kind == listNode {
		roots = root.items
	}
	for _, root := range roots {
		entry := partEntry{line: root.line}
		if root.kind == textNode {
			entry.ref = root.text
		} else {
			entry.part = &slipfitv1.Part{}
			entry.err = within(Options{}.fill(name, root, entry.part), name, 0)
		}
		f.take(entry)
	}
}

func (f *partFile) take(entry partEntry) {
	f.entries = append(f.entries, entry)
	if id := entry.id(); id != "" {
		f.ids = append(f.ids, id)
	}
}

// id is what an entry is asked for by: the part's, or the one it refers to.
func (e partEntry) id() string {
	if e.part != nil {
		return e.part.GetId()
	}
	_, id, _ := strings.Cut(e.ref, "#")
	return id
}

// choose picks the entry with an id, or the only one.
func (f *partFile) choose(name, id string, hasID bool) (partEntry, error) {
	if !hasID {
		if len(f.entries) == 1 {
			return f.entries[0], nil
		}
		return partEntry{}, fmt.Errorf("the file %s holds %d parts; say which, as in %s#%s", name, len(f.entries), name, firstOr(f.ids, "id"))
	}
	var found []partEntry
	for _, entry := range f.entries {
		if entry.id() == id {
			found = append(found, entry)
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		// A part that cannot be read may be the one that is wanted.
		for _, entry := range f.entries {
			if entry.err != nil && entry.id() == "" {
				return partEntry{}, entry.err
			}
		}
		return partEntry{}, fmt.Errorf("the file %s holds no part %q%s", name, id, didYouMean(id, f.ids))
	default:
		return partEntry{}, fmt.Errorf("the file %s holds the part %q twice, in lines %d and %d; take one out", name, id, found[0].line, found[1].line)
	}
}

func firstOr(list []string, otherwise string) string {
	if len(list) > 0 {
		return list[0]
	}
	return otherwise
}
