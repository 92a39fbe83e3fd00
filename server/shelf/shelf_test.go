package shelf

import (
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/blake2b"
)

// signer makes signatures in minisign's format.
type signer struct {
	sign   func(t testing.TB, message []byte) []byte
	public ed25519.PublicKey
}

var number = []byte("numbered")

func (s signer) key(t testing.TB) Key {
	t.Helper()
	raw := append(append([]byte("Ed"), number...), s.public...)
	key, err := ParseKey("untrusted comment: minisign public key\n" + base64.StdEncoding.EncodeToString(raw) + "\n")
	if err != nil {
		t.Fatal(err)
	}
	return key
}

func (s signer) seal(t testing.TB, message []byte, algorithm string) string {
	t.Helper()
	if algorithm == "ED" {
		sum := blake2b.Sum512(message)
		message = sum[:]
	}
	signature := s.sign(t, message)
	comment := "timestamp:1790000000"
	whole := s.sign(t, append(append([]byte{}, signature...), comment...))
	line := base64.StdEncoding.EncodeToString(append(append([]byte(algorithm), number...), signature...))
	return "untrusted comment: signature\n" + line + "\ntrusted comment: " + comment + "\n" + base64.StdEncoding.EncodeToString(whole) + "\n"
}

func goSigner(t testing.TB) signer {
	t.Helper()
	public, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	return signer{func(_ testing.TB, m []byte) []byte { return ed25519.Sign(private, m) }, public}
}

// opensslSigner signs with a general-purpose program.
func opensslSigner(t testing.TB) signer {
	t.Helper()
	openssl := oracle(t, "openssl")
	dir := t.TempDir()
	run := func(t testing.TB, args ...string) []byte {
		t.Helper()
		out, err := exec.Command(openssl, args...).Output()
		if err != nil {
			t.Fatalf("openssl %v: %v", args, err)
		}
		return out
	}
	private := filepath.Join(dir, "key.pem")
	run(t, "genpkey", "-algorithm", "ed25519", "-out", private)
	der := run(t, "pkey", "-in", private, "-pubout", "-outform", "DER")
	return signer{func(t testing.TB, m []byte) []byte {
		message := filepath.Join(dir, "message")
		if err := os.WriteFile(message, m, 0o600); err != nil {
			t.Fatal(err)
		}
		return run(t, "pkeyutl", "-sign", "-inkey", private, "-rawin", "-in", message)
	}, ed25519.PublicKey(der[len(der)-ed25519.PublicKeySize:])}
}

// folder writes a folder with one program.
func folder(t testing.TB, s signer, manifest string) *Folder {
	t.Helper()
	dir := t.TempDir()
	put(t, dir, "acoustics-1.0.0", "a program")
	put(t, dir, ManifestFile, manifest)
	put(t, dir, SignatureFile, s.seal(t, []byte(manifest), "ED"))
	return &Folder{Path: dir, Keys: []Key{s.key(t)}}
}

func put(t testing.TB, dir, name, content string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
}

func entry(lines ...string) string {
	fields := map[string]string{
		"name": "acoustics", "version": "1.0.0", "protocol": "1", "program": "acoustics-1.0.0",
		"sha256": fmt.Sprintf("%x", sha256.Sum256([]byte("a program"))), "interpreter": "''",
	}
	for _, line := range lines {
		key, value, _ := strings.Cut(line, ": ")
		fields[key] = value
	}
	return fmt.Sprintf("- {name: %s, version: %s, protocol: %s, program: %s, sha256: %s, interpreter: %s}\n",
		fields["name"], fields["version"], fields["protocol"], fields["program"], fields["sha256"], fields["interpreter"])
}

func manifest(entries ...string) string { return "revision: 3\npacks:\n" + strings.Join(entries, "") }

// Both of minisign's algorithms, with signatures made by openssl (RFC 8032).
func TestSignaturesOfAGeneralToolAreAccepted(t *testing.T) {
	s := opensslSigner(t)
	f := folder(t, s, manifest(entry()))
	for _, algorithm := range []string{"Ed", "ED"} {
		put(t, f.Path, SignatureFile, s.seal(t, []byte(manifest(entry())), algorithm))
		got, err := f.Read()
		if err != nil {
			t.Fatalf("%s: %v", algorithm, err)
		}
		if got.Unsigned || got.Revision != 3 || len(got.Packs) != 1 || got.Packs[0].Version != "1.0.0" {
			t.Errorf("%s: read %+v", algorithm, got)
		}
	}
}

// Every bit of the manifest, of the program and of what is signed in the signature
// file counts; only the untrusted comment does not.
func TestEveryTamperedByteIsRefused(t *testing.T) {
	s := goSigner(t)
	f := folder(t, s, manifest(entry()))
	for _, name := range []string{ManifestFile, SignatureFile, "acoustics-1.0.0"} {
		whole, err := os.ReadFile(filepath.Join(f.Path, name))
		if err != nil {
			t.Fatal(err)
		}
		from := 0
		if name == SignatureFile {
			from = strings.IndexByte(string(whole), '\n')
		}
		for i := from; i < len(whole); i++ {
			for _, bit := range []byte{1, 0x20} {
				bad := append([]byte{}, whole...)
				bad[i] ^= bit
				put(t, f.Path, name, string(bad))
				if _, err := f.Read(); err == nil {
					t.Errorf("%s is taken with byte %d changed from %q to %q", name, i, whole[i], bad[i])
				}
			}
		}
		put(t, f.Path, name, string(whole))
	}
	if _, err := f.Read(); err != nil {
		t.Fatalf("untouched it is refused: %v", err)
	}
}

func TestWhatIsWrongIsTold(t *testing.T) {
	s := goSigner(t)
	for name, c := range map[string]struct {
		manifest string
		change   func(*Folder)
		want     string
	}{
		"unsigned":        {manifest(entry()), func(f *Folder) { _ = os.Remove(filepath.Join(f.Path, SignatureFile)) }, "packs.yaml is not signed; sign it with minisign, or allow unsigned packs while you develop"},
		"empty signature": {manifest(entry()), func(f *Folder) { put(t, f.Path, SignatureFile, "") }, "packs.yaml.minisig is no signature in minisign's format"},
		"another key":     {manifest(entry()), func(f *Folder) { f.Keys = []Key{goSigner(t).key(t)} }, "the signature of packs.yaml does not fit it; one of the two was changed"},
		"no key":          {manifest(entry()), func(f *Folder) { f.Keys = nil }, "packs.yaml.minisig was made with a key that is not trusted here"},
		"upwards":         {manifest(entry("program: ../acoustics-1.0.0")), nil, `packs[0]: the program "../acoustics-1.0.0" of pack acoustics is no plain name of a file in the folder`},
		"absolute":        {manifest(entry("program: /bin/true")), nil, "is no plain name of a file in the folder"},
		"hidden":          {manifest(entry("program: .acoustics")), nil, "is no plain name of a file in the folder"},
		"link": {manifest(entry()), func(f *Folder) {
			path := filepath.Join(f.Path, "acoustics-1.0.0")
			_ = os.Rename(path, path+"-real")
			_ = os.Symlink(path+"-real", path)
		}, "the program of pack acoustics 1.0.0: acoustics-1.0.0 is no regular file; links are not followed"},
		"linked manifest": {manifest(entry()), func(f *Folder) {
			path := filepath.Join(f.Path, ManifestFile)
			_ = os.Rename(path, path+"-real")
			_ = os.Symlink(path+"-real", path)
		}, "packs.yaml is no regular file; links are not followed"},
		"program away": {manifest(entry()), func(f *Folder) { _ = os.Remove(filepath.Join(f.Path, "acoustics-1.0.0")) }, "the program of pack acoustics 1.0.0: acoustics-1.0.0 cannot be looked at: no such file or directory"},
		"twice":        {manifest(entry(), entry()), nil, "packs[1]: pack acoustics is listed twice in version 1.0.0"},
		"no revision":  {"packs:\n" + entry(), nil, "packs.yaml has no revision"},
		"from ahead":   {manifest(entry("protocol: 3")), nil, "pack acoustics speaks version 3 of the pack protocol and this host versions 1 to 2; update the host"},
		"from behind":  {manifest(entry("protocol: 0")), nil, "update the pack"},
		"no version":   {manifest(entry("version: '1.0'")), nil, `the version "1.0" of pack acoustics is no semantic version`},
		"extra file":   {manifest(entry()), func(f *Folder) { put(t, f.Path, "notes.txt", "x") }, "notes.txt lies in the pack folder and packs.yaml does not list it; list it, or take it out"},
		"extra folder": {manifest(entry()), func(f *Folder) { _ = os.Mkdir(filepath.Join(f.Path, "more"), 0o700) }, "more lies in the pack folder"},
		"folder away":  {manifest(entry()), func(f *Folder) { f.Path += "-away" }, "the pack folder cannot be opened"},
		"program a folder": {manifest(entry()), func(f *Folder) {
			path := filepath.Join(f.Path, "acoustics-1.0.0")
			_ = os.Remove(path)
			_ = os.Mkdir(path, 0o700)
		}, "acoustics-1.0.0 is no regular file"},
		"empty key number": {manifest(entry()), func(f *Folder) {
			text := s.seal(t, []byte(manifest(entry())), "ED")
			lines := strings.Split(text, "\n")
			raw, _ := base64.StdEncoding.DecodeString(lines[1])
			copy(raw[2:10], make([]byte, 8))
			lines[1] = base64.StdEncoding.EncodeToString(raw)
			put(t, f.Path, SignatureFile, strings.Join(lines, "\n"))
		}, "packs.yaml.minisig was made with a key that is not trusted here"},
		"two documents":       {manifest(entry()) + "---\nrevision: 4\n", nil, "packs.yaml holds more than one document"},
		"aliases":             {"a: &a [x]\n" + manifest(entry()), nil, "field a not found"},
		"key twice":           {"revision: 9\n" + manifest(entry()), nil, `mapping key "revision" already defined`},
		"no interpreter":      {manifest(entry("interpreter: python3")), nil, "pack acoustics 1.0.0 wants to be run by python3, and this host allows none; have its keeper allow it, or leave the pack out"},
		"another interpreter": {manifest(entry("interpreter: node")), func(f *Folder) { f.Interpreters = map[string][]string{"python3": {"/usr/bin/python3"}} }, "wants to be run by node, and this host allows python3; have its keeper allow it"},
		"interpreter by path": {manifest(entry("interpreter: /bin/sh")), nil, `the interpreter "/bin/sh" of pack acoustics is no name`},
		"digest":              {manifest(entry("sha256: abc")), nil, "is not of 64 hexadecimal digits"},
		"unknown field":       {manifest(entry()) + "note: x\n", nil, "field note not found"},
		"expired":             {"expires: 2020-01-02\n" + manifest(entry()), nil, "packs.yaml has expired on 2020-01-02; sign a new one"},
		"huge":                {manifest(entry()) + "# " + strings.Repeat("x", MaxManifest), nil, "it has more than 262144 bytes"},
	} {
		t.Run(name, func(t *testing.T) {
			f := folder(t, s, c.manifest)
			if c.change != nil {
				c.change(f)
			}
			if got, err := f.Read(); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("read %+v, error %v; want %s", got, err, c.want)
			}
		})
	}
}

func TestUnsignedIsTakenWhereAllowedAndToldSo(t *testing.T) {
	f := folder(t, goSigner(t), manifest(entry()))
	f.AllowUnsigned = true
	if err := os.Remove(filepath.Join(f.Path, SignatureFile)); err != nil {
		t.Fatal(err)
	}
	if got, err := f.Read(); err != nil || !got.Unsigned {
		t.Errorf("read %+v, error %v", got, err)
	}
	// A signature that is there must still be good.
	put(t, f.Path, SignatureFile, goSigner(t).seal(t, []byte("something else"), "ED"))
	if _, err := f.Read(); err == nil {
		t.Error("a bad signature is taken where none is asked for")
	}
}

func TestExpiryHoldsToTheEndOfTheDay(t *testing.T) {
	f := folder(t, goSigner(t), "expires: 2030-05-01\n"+manifest(entry()))
	for day, good := range map[string]bool{"2030-05-01T23:00:00Z": true, "2030-05-02T01:00:00Z": false} {
		now, err := time.Parse(time.RFC3339, day)
		if err != nil {
			t.Fatal(err)
		}
		f.Now = func() time.Time { return now }
		if _, err := f.Read(); (err == nil) != good {
			t.Errorf("at %s: %v", day, err)
		}
	}
}
