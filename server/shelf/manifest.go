package shelf

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"github.com/Masterminds/semver/v3"
	"go.yaml.in/yaml/v3"

	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// Names and limits of the folder.
const (
	// ManifestFile is the manifest's name.
	ManifestFile = "packs.yaml"
	// SignatureFile is its signature's name.
	SignatureFile = ManifestFile + ".minisig"
	// MaxManifest is the greatest size of a manifest in bytes.
	MaxManifest = 256 << 10
	// MaxProgram is the greatest size of a program in bytes.
	MaxProgram = 256 << 20
	// MaxPacks is how many packs a folder may hold.
	MaxPacks = 64
)

// Manifest is what a folder of packs holds.
type Manifest struct {
	// Revision counts the manifests of a folder; it may only rise.
	Revision uint64 `yaml:"revision"`
	// Expires is the day after which the manifest is refused. Zero: never.
	Expires time.Time `yaml:"expires"`
	// Packs are the packs, in any order.
	Packs []Entry `yaml:"packs"`
}

// Entry is one pack in one version.
type Entry struct {
	// Name is what the pack calls itself.
	Name string `yaml:"name"`
	// Version is its version by semantic versioning.
	Version string `yaml:"version"`
	// Protocol is the version of the pack protocol that it speaks.
	Protocol int `yaml:"protocol"`
	// Program is the name of its file in the folder.
	Program string `yaml:"program"`
	// SHA256 is the digest of that file in hexadecimal digits.
	SHA256 string `yaml:"sha256"`
}

var (
	packName    = regexp.MustCompile(`^[a-z][a-z0-9-]{0,63}$`)
	programName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._+-]{0,127}$`)
	digest      = regexp.MustCompile(`^[0-9a-f]{64}$`)
)

// parseManifest reads a manifest whose signature was checked. Every complaint is
// told.
func parseManifest(data []byte) (*Manifest, error) {
	decoder := yaml.NewDecoder(bytes.NewReader(data))
	decoder.KnownFields(true)
	m := new(Manifest)
	if err := decoder.Decode(m); err != nil {
		return nil, fmt.Errorf("%s cannot be read: %s", ManifestFile, strings.TrimPrefix(err.Error(), "yaml: "))
	}
	if err := decoder.Decode(new(yaml.Node)); !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s holds more than one document", ManifestFile)
	}
	return m, m.check()
}

func (m *Manifest) check() error {
	var errs []error
	if m.Revision == 0 {
		errs = append(errs, fmt.Errorf("%s has no revision; give it one above that of the last", ManifestFile))
	}
	if len(m.Packs) > MaxPacks {
		errs = append(errs, fmt.Errorf("%s lists %d packs, more than the %d allowed", ManifestFile, len(m.Packs), MaxPacks))
	}
	seen := map[string]bool{}
	for i, e := range m.Packs {
		if err := e.check(); err != nil {
			errs = append(errs, fmt.Errorf("packs[%d]: %w", i, err))
		}
		key := e.Name + " " + e.Version
		if seen[key] {
			errs = append(errs, fmt.Errorf("packs[%d]: pack %s is listed twice in version %s", i, e.Name, e.Version))
		}
		seen[key] = true
	}
	return errors.Join(errs...)
}

func (e *Entry) check() error {
	switch {
	case !packName.MatchString(e.Name):
		return fmt.Errorf("the name %q is not of lower-case letters, digits and hyphens, a letter first", e.Name)
	case !programName.MatchString(e.Program) || filepath.Base(e.Program) != e.Program:
		return fmt.Errorf("the program %q of pack %s is no plain name of a file in the folder", e.Program, e.Name)
	case !digest.MatchString(e.SHA256):
		return fmt.Errorf("the SHA-256 of pack %s is not of 64 hexadecimal digits in lower case", e.Name)
	case e.Protocol > plug.Protocol:
		return fmt.Errorf("pack %s speaks version %d of the pack protocol and this host version %d; update the host", e.Name, e.Protocol, plug.Protocol)
	case e.Protocol < plug.Protocol:
		return fmt.Errorf("pack %s speaks version %d of the pack protocol and this host version %d; update the pack", e.Name, e.Protocol, plug.Protocol)
	}
	if _, err := semver.StrictNewVersion(e.Version); err != nil {
		return fmt.Errorf("the version %q of pack %s is no semantic version", e.Version, e.Name)
	}
	return nil
}
