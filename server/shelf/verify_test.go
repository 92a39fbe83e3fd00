package shelf

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	packv1 "slipfit.example/proto/slipfit/pack/v1"

	"google.golang.org/protobuf/proto"
)

// oracle finds a program that checks this package from outside. Without it the test
// is skipped, but not where everything has to be checked.
func oracle(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is missing; install it, it checks the signatures from outside", name)
	}
	t.Skipf("%s is missing; without it the signatures are not checked from outside", name)
	return ""
}

// The folder is signed as the README says, by minisign itself, with its key files as
// it writes them.
func TestMinisignSignsFolders(t *testing.T) {
	minisign := oracle(t, "minisign")
	f := folder(t, goSigner(t), manifest(entry()))
	keys := t.TempDir()
	run := func(args ...string) {
		t.Helper()
		if out, err := exec.Command(minisign, args...).CombinedOutput(); err != nil {
			t.Fatalf("minisign %v: %v: %s", args, err, out)
		}
	}
	public, secret := filepath.Join(keys, "packs.pub"), filepath.Join(keys, "packs.key")
	run("-G", "-W", "-p", public, "-s", secret)
	text, err := os.ReadFile(public)
	if err != nil {
		t.Fatal(err)
	}
	key, err := ParseKey(string(text))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), key.String()) {
		t.Errorf("the key's number is %s, and minisign writes %s", key, text)
	}
	f.Keys = []Key{key}
	for _, legacy := range []string{"", "-l"} {
		args := []string{"-S", "-s", secret, "-m", filepath.Join(f.Path, ManifestFile)}
		if legacy != "" {
			args = append(args, legacy)
		}
		run(args...)
		if _, err := f.Read(); err != nil {
			t.Errorf("%v: %v", args, err)
		}
	}
}

// What the entry says must be what the pack says once it runs.
func TestAManifestThatLiesIsRefused(t *testing.T) {
	e := Entry{Name: "acoustics", Version: "1.0.0", Protocol: 2, Needs: []string{"a.x", "b.y"}, Provides: []string{"acoustics.z"}}
	truth := func() *packv1.DescribeResponse {
		return &packv1.DescribeResponse{
			Name: proto.String("acoustics"), Version: proto.String("1.0.0"), Protocol: proto.Uint32(2),
			Needs: []string{"b.y", "a.x"}, Provides: []string{"acoustics.z"},
		}
	}
	if err := e.Agree(truth()); err != nil {
		t.Error(err)
	}
	for want, lie := range map[string]func(*packv1.DescribeResponse){
		"the manifest lists pack acoustics 1.0.0 with the name acoustics and it says owl of itself; correct the manifest": func(d *packv1.DescribeResponse) { d.Name = proto.String("owl") },
		"with the version 1.0.0 and it says 1.0.1 of itself":                                                              func(d *packv1.DescribeResponse) { d.Version = proto.String("1.0.1") },
		"with the protocol 2 and it says 1 of itself":                                                                     func(d *packv1.DescribeResponse) { d.Protocol = proto.Uint32(1) },
		"with the needs [a.x b.y] and it says [a.x] of itself":                                                            func(d *packv1.DescribeResponse) { d.Needs = []string{"a.x"} },
		"with the provides [acoustics.z] and it says [] of itself":                                                        func(d *packv1.DescribeResponse) { d.Provides = nil },
		"with the provides [acoustics.z] and it says [acoustics.z power.demand] of":                                       func(d *packv1.DescribeResponse) { d.Provides = append(d.Provides, "power.demand") },
	} {
		d := truth()
		lie(d)
		if err := e.Agree(d); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want %s", err, want)
		}
	}
	silent := Entry{Name: "acoustics", Version: "1.0.0", Protocol: 2}
	if err := silent.Agree(truth()); err != nil {
		t.Errorf("a manifest that says nothing of facts: %v", err)
	}
}

// A check that breaks refuses.
func TestABrokenCheckRefuses(t *testing.T) {
	f := folder(t, goSigner(t), "expires: 2030-05-01\n"+manifest(entry()))
	f.Now = func() time.Time { panic("no clock") }
	if got, err := f.Read(); got != nil || err == nil || err.Error() != "checking the pack folder broke: no clock" {
		t.Errorf("read %v, error %v", got, err)
	}
}

// A program that was compared is not read again until it changes, and what changes
// is noticed whatever its size.
func TestAnUnchangedProgramIsReadOnce(t *testing.T) {
	f := folder(t, goSigner(t), manifest(entry()))
	path := filepath.Join(f.Path, "acoustics-1.0.0")
	old := time.Now().Add(-time.Hour)
	if err := os.Chtimes(path, old, old); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Read(); err != nil || len(f.checked) != 1 {
		t.Fatalf("%d programs are remembered, error %v", len(f.checked), err)
	}
	put(t, f.Path, "acoustics-1.0.0", "A program")
	if _, err := f.Read(); err == nil || !strings.Contains(err.Error(), "has the SHA-256") {
		t.Errorf("error %v", err)
	}
	if len(f.checked) != 0 {
		t.Error("a file that has just changed is remembered, and its next change could be missed")
	}
	put(t, f.Path, "acoustics-1.0.0", "a program")
	if _, err := f.Read(); err != nil {
		t.Errorf("mended it is refused: %v", err)
	}
}

// The check of foreign bytes refuses them and never breaks.
func FuzzVerify(f *testing.F) {
	s := goSigner(f)
	f.Add([]byte("manifest"), []byte(s.seal(f, []byte("manifest"), "ED")))
	f.Add([]byte("manifest"), []byte(s.seal(f, []byte("manifest"), "Ed")))
	f.Add([]byte(manifest(entry())), []byte("untrusted comment: \n\ntrusted comment: \n\n"))
	keys := []Key{s.key(f)}
	f.Fuzz(func(t *testing.T, signed, signature []byte) {
		if err := verify(signed, signature, keys); err == nil && string(signed) != "manifest" {
			t.Errorf("%q is taken as signed", signed)
		}
		if m, err := parseManifest(signed); err == nil && m.Revision == 0 {
			t.Errorf("%q is a manifest without a revision", signed)
		}
		_, _ = ParseKey(string(signature))
	})
}
