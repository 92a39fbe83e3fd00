package shelf

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

// Folder says where packs lie and whom to trust.
type Folder struct {
	// Path is the folder. It may be a link, which is followed once for each reading.
	Path string
	// Keys are the public keys that may sign its manifest.
	Keys []Key
	// AllowUnsigned takes a manifest without a signature. It is for development.
	AllowUnsigned bool
	// Interpreters are the programs, with their arguments, that may run packs, by the
	// names under which manifests ask for them.
	Interpreters map[string][]string
	// Floor is the least revision that is taken.
	Floor *Floor
	// Now is the time; nil: time.Now.
	Now func() time.Time

	mu      sync.Mutex
	checked map[string]stamp // programs that were compared, by name
}

// Content is a folder that was found good.
type Content struct {
	Manifest
	// Unsigned tells that no signature was checked.
	Unsigned bool
	// Digest is the SHA-256 of the manifest in hexadecimal digits.
	Digest string
}

// Read reads the folder and checks everything: the signature before a byte of the
// manifest is understood, the revision, the expiry, each program's digest, and that
// nothing else lies there. The error says what is wrong and what to do; nothing of the
// folder may be run then. A panic of the check itself is a refusal like any other.
func (f *Folder) Read() (content *Content, err error) {
	defer func() {
		if broken := recover(); broken != nil {
			content, err = nil, fmt.Errorf("checking the pack folder broke: %v", broken)
		}
	}()
	root, err := os.OpenRoot(f.Path)
	if err != nil {
		return nil, fmt.Errorf("the pack folder cannot be opened: %w", err)
	}
	defer func() { _ = root.Close() }()
	manifest, err := readWhole(root, ManifestFile, MaxManifest)
	if err != nil {
		return nil, err
	}
	unsigned, err := f.checkSignature(root, manifest)
	if err != nil {
		return nil, err
	}
	m, err := parseManifest(manifest)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(manifest)
	content = &Content{Manifest: *m, Unsigned: unsigned, Digest: hex.EncodeToString(sum[:])}
	if err := f.checkContent(root, content); err != nil {
		return nil, err
	}
	return content, nil
}

// checkContent holds the folder against a manifest whose signature is good.
func (f *Folder) checkContent(root *os.Root, c *Content) error {
	if err := f.checkFresh(c); err != nil {
		return err
	}
	var errs []error
	var total int64
	for _, e := range c.Packs {
		size, err := f.checkProgram(root, e)
		total += size
		errs = append(errs, err, f.checkInterpreter(e))
	}
	if total > MaxPrograms {
		errs = append(errs, fmt.Errorf("the programs have %d bytes together, more than the %d allowed", total, MaxPrograms))
	}
	return errors.Join(append(errs, checkNothingElse(root, c.Packs))...)
}

// checkSignature reports whether the manifest is taken without a signature. One
// that is there must be good even where none is asked for.
func (f *Folder) checkSignature(root *os.Root, manifest []byte) (unsigned bool, err error) {
	signature, err := readWhole(root, SignatureFile, longestSigned)
	if errors.Is(err, fs.ErrNotExist) {
		if f.AllowUnsigned {
			return true, nil
		}
		return false, fmt.Errorf("%s is not signed; sign it with minisign, or allow unsigned packs while you develop", ManifestFile)
	}
	if err != nil {
		return false, err
	}
	if len(f.Keys) == 0 && f.AllowUnsigned {
		return true, nil
	}
	return false, verify(manifest, signature, f.Keys)
}

func (f *Folder) checkFresh(c *Content) error {
	if !c.Expires.IsZero() && f.now().After(c.Expires.AddDate(0, 0, 1)) {
		return fmt.Errorf("%s has expired on %s; sign a new one", ManifestFile, c.Expires.Format(time.DateOnly))
	}
	return f.Floor.check(c.Revision, c.Digest)
}

func (f *Folder) now() time.Time {
	if f.Now != nil {
		return f.Now()
	}
	return time.Now()
}

func (f *Folder) checkInterpreter(e Entry) error {
	if e.Interpreter == "" || len(f.Interpreters[e.Interpreter]) > 0 {
		return nil
	}
	allowed := "none"
	if len(f.Interpreters) > 0 {
		allowed = strings.Join(slices.Sorted(maps.Keys(f.Interpreters)), ", ")
	}
	return fmt.Errorf("pack %s wants to be run by %s, and this host allows %s; have its keeper allow it, or leave the pack out", e, e.Interpreter, allowed)
}

// checkNothingElse refuses files that the manifest does not list, so that a folder is
// what was signed and no more. Hidden ones do not count: whoever copies a folder makes
// some on the way.
func checkNothingElse(root *os.Root, listed []Entry) error {
	folder, err := root.Open(".")
	if err != nil {
		return fmt.Errorf("the pack folder cannot be listed: %w", err)
	}
	defer func() { _ = folder.Close() }()
	names, err := folder.Readdirnames(MaxFiles + 1)
	if err != nil && !errors.Is(err, io.EOF) {
		return fmt.Errorf("the pack folder cannot be listed: %w", err)
	}
	if len(names) > MaxFiles {
		return fmt.Errorf("the pack folder holds more than %d files; keep only what %s lists", MaxFiles, ManifestFile)
	}
	slices.Sort(names)
	for _, name := range names {
		known := name == ManifestFile || name == SignatureFile || strings.HasPrefix(name, ".")
		if !known && !slices.ContainsFunc(listed, func(e Entry) bool { return e.Program == name }) {
			return fmt.Errorf("%s lies in the pack folder and %s does not list it; list it, or take it out", name, ManifestFile)
		}
	}
	return nil
}

// Program is the path of a pack's program.
func (f *Folder) Program(e Entry) string { return filepath.Join(f.Path, e.Program) }

// Interpreter is what runs a pack's program, empty where it runs by itself.
func (f *Folder) Interpreter(e Entry) []string { return f.Interpreters[e.Interpreter] }
