package shelf

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// Folder says where packs lie and whom to trust.
type Folder struct {
	// Path is the folder.
	Path string
	// Keys are the public keys that may sign its manifest.
	Keys []Key
	// AllowUnsigned takes a manifest without a signature. It is for development.
	AllowUnsigned bool
	// Floor is the least revision that is taken.
	Floor *Floor
	// Now is the time; nil: time.Now.
	Now func() time.Time
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
// manifest is understood, the revision, the expiry, and each program's digest. The
// error says what is wrong and what to do; nothing of the folder may be run then. A
// panic of the check itself is a refusal like any other.
func (f *Folder) Read() (content *Content, err error) {
	defer func() {
		if broken := recover(); broken != nil {
			content, err = nil, fmt.Errorf("checking the pack folder broke: %v", broken)
		}
	}()
	manifest, err := readLimited(filepath.Join(f.Path, ManifestFile), MaxManifest)
	if err != nil {
		return nil, err
	}
	unsigned, err := f.checkSignature(manifest)
	if err != nil {
		return nil, err
	}
	m, err := parseManifest(manifest)
	if err != nil {
		return nil, err
	}
	if err := f.checkFresh(m); err != nil {
		return nil, err
	}
	var errs []error
	for _, e := range m.Packs {
		errs = append(errs, f.checkProgram(e))
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(manifest)
	return &Content{Manifest: *m, Unsigned: unsigned, Digest: hex.EncodeToString(sum[:])}, nil
}

// checkSignature reports whether the manifest is taken without a signature. One
// that is there must be good even where none is asked for.
func (f *Folder) checkSignature(manifest []byte) (unsigned bool, err error) {
	signature, err := readLimited(filepath.Join(f.Path, SignatureFile), longestSigned)
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

func (f *Folder) checkFresh(m *Manifest) error {
	now := time.Now
	if f.Now != nil {
		now = f.Now
	}
	if !m.Expires.IsZero() && now().After(m.Expires.AddDate(0, 0, 1)) {
		return fmt.Errorf("%s has expired on %s; sign a new one", ManifestFile, m.Expires.Format(time.DateOnly))
	}
	return f.Floor.check(m.Revision)
}

// checkProgram compares a program's digest. Whoever runs it compares again, with
// the very bytes that run.
func (f *Folder) checkProgram(e Entry) error {
	path := f.Program(e)
	info, err := os.Lstat(path)
	if err != nil {
		return fmt.Errorf("the program of pack %s %s cannot be looked at: %w", e.Name, e.Version, err)
	}
	if !info.Mode().IsRegular() {
		return fmt.Errorf("the program %s of pack %s is no regular file; links are not followed", e.Program, e.Name)
	}
	if info.Size() > MaxProgram {
		return fmt.Errorf("the program %s of pack %s has %d bytes, more than the %d allowed", e.Program, e.Name, info.Size(), MaxProgram)
	}
	file, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("the program of pack %s %s cannot be read: %w", e.Name, e.Version, err)
	}
	defer func() { _ = file.Close() }()
	sum := sha256.New()
	if _, err := io.Copy(sum, io.LimitReader(file, MaxProgram+1)); err != nil {
		return fmt.Errorf("the program of pack %s %s cannot be read: %w", e.Name, e.Version, err)
	}
	if got := hex.EncodeToString(sum.Sum(nil)); got != e.SHA256 {
		return fmt.Errorf("the program %s of pack %s has the SHA-256 %s and not the stated %s; install the stated one", e.Program, e.Name, got, e.SHA256)
	}
	return nil
}

// Program is the path of a pack's program.
func (f *Folder) Program(e Entry) string { return filepath.Join(f.Path, e.Program) }

// readLimited reads a regular file of limited size.
func readLimited(path string, limit int64) ([]byte, error) {
	info, err := os.Lstat(path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", filepath.Base(path), err)
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is no regular file; links are not followed", filepath.Base(path))
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", filepath.Base(path), err)
	}
	defer func() { _ = file.Close() }()
	data, err := io.ReadAll(io.LimitReader(file, limit+1))
	if err == nil && int64(len(data)) > limit {
		err = fmt.Errorf("it has more than %d bytes", limit)
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", filepath.Base(path), err)
	}
	return data, nil
}
