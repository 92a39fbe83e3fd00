package shelf

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/Masterminds/semver/v3"
	"go.yaml.in/yaml/v3"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
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
	// MaxPrograms is the greatest size of all programs together in bytes.
	MaxPrograms = 1 << 30
	// MaxPacks is how many packs a folder may hold.
	MaxPacks = 64
	// MaxFiles is how many names a folder may hold, hidden ones too.
	MaxFiles = 4096
)

// Manifest is what a folder of packs holds.
type Manifest struct {
	// Revision counts the manifests of a folder; it may only rise.
	Revision uint64 `yaml:"revision"`
	// Expires is the day after which the manifest is refused. Zero: never.
	Expires time.Time `yaml:"expires,omitempty"`
	// Packs are the packs, in any order.
	Packs []Entry `yaml:"packs"`
}

// Entry is one pack in one version.
type Entry struct {
	// Name is what the pack calls itself.
	Name string `yaml:"name"`
	// Version is its version by semantic versioning.
	Version string `yaml:"version"`
	// Protocol is the newest version of the pack protocol that it speaks with this
	// host.
	Protocol int `yaml:"protocol"`
	// Program is the name of its file in the folder.
	Program string `yaml:"program"`
	// SHA256 is the digest of that file in hexadecimal digits.
	SHA256 string `yaml:"sha256"`
	// Interpreter names what runs the program where it does not run by itself, such as
	// "python3". Which names there are, and what they start, the host's keeper says.
	Interpreter string `yaml:"interpreter,omitempty"`
	// Needs and Provides are the facts that it takes and works out. Nil: not said;
	// what is said must be what the pack says of itself.
	Needs    []string `yaml:"needs,omitempty,flow"`
	Provides []string `yaml:"provides,omitempty,flow"`
}

// String is the pack's name and version.
func (e Entry) String() string { return e.Name + " " + e.Version }

// Agree compares the entry with what the pack says of itself once it runs. The error
// names the first thing in which they differ.
func (e Entry) Agree(d *packv1.DescribeResponse) error {
	differ := func(what string, listed, says any) error {
		return fmt.Errorf("the manifest lists pack %s with %s %v and it says %v of itself; correct the manifest", e, what, listed, says)
	}
	switch {
	case d.GetName() != e.Name:
		return differ("the name", e.Name, d.GetName())
	case d.GetVersion() != e.Version:
		return differ("the version", e.Version, d.GetVersion())
	case int(d.GetProtocol()) != e.Protocol:
		return differ("the protocol", e.Protocol, d.GetProtocol())
	case e.Needs != nil && !sameFacts(e.Needs, d.Needs):
		return differ("the needs", e.Needs, d.Needs)
	case e.Provides != nil && !sameFacts(e.Provides, d.Provides):
		return differ("the provides", e.Provides, d.Provides)
	}
	return nil
}

func sameFacts(a, b []string) bool {
	return slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b)))
}

var (
	packName        = regexp.MustCompile(`^[a-z][a-z0-9-]{0,63}$`)
	programName     = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._+-]{0,127}$`)
	interpreterName = regexp.MustCompile(`^[a-z][a-z0-9.+-]{0,31}$`)
	digest          = regexp.MustCompile(`^[0-9a-f]{64}$`)
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

// ReadManifest reads a manifest without asking who signed it, for those who write one.
func ReadManifest(data []byte) (*Manifest, error) { return parseManifest(data) }

// Encode writes the manifest as the file of a folder, to be signed. The error tells
// what a host would refuse.
func (m *Manifest) Encode() ([]byte, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	encoder := yaml.NewEncoder(&out)
	encoder.SetIndent(2)
	if err := errors.Join(encoder.Encode(m), encoder.Close()); err != nil {
		return nil, fmt.Errorf("%s cannot be written: %w", ManifestFile, err)
	}
	return out.Bytes(), nil
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
		if seen[e.String()] {
			errs = append(errs, fmt.Errorf("packs[%d]: pack %s is listed twice in version %s", i, e.Name, e.Version))
		}
		seen[e.String()] = true
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
	case e.Interpreter != "" && !interpreterName.MatchString(e.Interpreter):
		return fmt.Errorf("the interpreter %q of pack %s is no name; name it as the host's keeper does, such as python3", e.Interpreter, e.Name)
	case e.Protocol > plug.Protocol:
		return e.foreign("update the host")
	case e.Protocol < plug.OldestProtocol:
		return e.foreign("update the pack")
	}
	if _, err := semver.StrictNewVersion(e.Version); err != nil {
		return fmt.Errorf("the version %q of pack %s is no semantic version", e.Version, e.Name)
	}
	return nil
}

// foreign says that the host does not speak the pack's protocol.
func (e *Entry) foreign(todo string) error {
	return fmt.Errorf("pack %s speaks version %d of the pack protocol and this host versions %d to %d; %s", e.Name, e.Protocol, plug.OldestProtocol, plug.Protocol, todo)
}
