package server_test

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"golang.org/x/crypto/blake2b"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/shelf"
)

// shelvedPrefix begins the name of a program that is an external pack: this test
// binary under another name, which says its version.
const shelvedPrefix = "drill-pack-"

// beShelved is such a pack, or reports false.
func beShelved() bool {
	version, ok := strings.CutPrefix(filepath.Base(os.Args[0]), shelvedPrefix)
	if !ok {
		return false
	}
	p := drill()
	p.Version = strings.TrimSuffix(version, "-lies")
	if strings.HasSuffix(version, "-lies") {
		p.Version = "9.9.9"
	}
	if strings.HasPrefix(version, "6.") {
		os.Exit(6)
	}
	if strings.HasPrefix(version, "7.") {
		p.Needs, p.Provides = []string{"drill.fact"}, []string{"drill.fact"}
	}
	bePackOf(p)
	return true
}

// folderOf is a pack folder that a test writes to.
type folderOf struct {
	t       testing.TB
	folder  shelf.Folder
	private ed25519.PrivateKey
	digest  string
}

func newFolder(t testing.TB) *folderOf {
	t.Helper()
	public, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	key, err := shelf.ParseKey(base64.StdEncoding.EncodeToString(append([]byte("Edabcdefgh"), public...)))
	if err != nil {
		t.Fatal(err)
	}
	floor, err := shelf.OpenFloor(filepath.Join(t.TempDir(), "floor"))
	if err != nil {
		t.Fatal(err)
	}
	program, err := os.ReadFile(os.Args[0])
	if err != nil {
		t.Fatal(err)
	}
	return &folderOf{
		t: t, private: private, digest: fmt.Sprintf("%x", sha256.Sum256(program)),
		folder: shelf.Folder{Path: t.TempDir(), Keys: []shelf.Key{key}, Floor: floor},
	}
}

// publish writes a signed manifest with the drill in these versions.
func (f *folderOf) publish(revision int, versions ...string) {
	f.t.Helper()
	f.write(revision, f.digest, true, versions...)
}

func (f *folderOf) write(revision int, digest string, signed bool, versions ...string) {
	f.t.Helper()
	manifest := fmt.Sprintf("revision: %d\npacks:\n", revision)
	for _, v := range versions {
		program := shelvedPrefix + v
		if err := os.Link(os.Args[0], filepath.Join(f.folder.Path, program)); err != nil && !os.IsExist(err) {
			f.copyProgram(program)
		}
		manifest += fmt.Sprintf("- {name: drill, version: %s, protocol: 1, program: %s, sha256: %s}\n", strings.TrimSuffix(v, "-lies"), program, digest)
	}
	sum := blake2b.Sum512([]byte(manifest))
	signature := ed25519.Sign(f.private, sum[:])
	whole := ed25519.Sign(f.private, append(append([]byte{}, signature...), "c"...))
	text := "untrusted comment: x\n" + base64.StdEncoding.EncodeToString(append([]byte("EDabcdefgh"), signature...)) +
		"\ntrusted comment: c\n" + base64.StdEncoding.EncodeToString(whole) + "\n"
	_ = os.Remove(filepath.Join(f.folder.Path, shelf.SignatureFile))
	f.put(shelf.ManifestFile, manifest)
	if signed {
		f.put(shelf.SignatureFile, text)
	}
}

func (f *folderOf) copyProgram(name string) {
	f.t.Helper()
	data, err := os.ReadFile(os.Args[0])
	if err == nil {
		err = os.WriteFile(filepath.Join(f.folder.Path, name), data, 0o700)
	}
	if err != nil {
		f.t.Fatal(err)
	}
}

// put writes a file whole: the service may look at any moment.
func (f *folderOf) put(name, content string) {
	f.t.Helper()
	fresh := filepath.Join(f.folder.Path, ".fresh")
	if err := os.WriteFile(fresh, []byte(content), 0o600); err != nil {
		f.t.Fatal(err)
	}
	if err := os.Rename(fresh, filepath.Join(f.folder.Path, name)); err != nil {
		f.t.Fatal(err)
	}
}

func (f *folderOf) config() server.Config {
	config := drillConfig()
	config.Shelf, config.ShelfPeriod = &f.folder, 20*time.Millisecond
	return config
}

func listPacks(t testing.TB, client v1.PackServiceClient) *v1.ListPacksResponse {
	t.Helper()
	out, err := client.ListPacks(t.Context(), &v1.ListPacksRequest{})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func versionsIn(list *v1.ListPacksResponse) (out string) {
	for _, p := range list.Packs {
		if p.GetName() == "drill" {
			out += p.GetVersion()
			if p.GetChosen() {
				out += "*"
			}
			out += " "
		}
	}
	return strings.TrimSpace(out)
}

// Versions from the folder serve beside the built-in one; a pin asks for each, and
// the newest release answers by default, never a pre-release.
func TestVersionsFromTheFolderServeSideBySide(t *testing.T) {
	f := newFolder(t)
	f.publish(1, "1.1.0", "2.0.0-rc.1")
	s := start(t, f.config())
	conn := connect(t, s)
	list := listPacks(t, v1.NewPackServiceClient(conn))
	if got := versionsIn(list); got != "2.0.0-rc.1 1.1.0* 1.0.0" || len(list.Refused) != 0 {
		t.Fatalf("versions %s, refused %v", got, list.Refused)
	}
	if p := list.Packs[0]; p.GetOrigin() != f.folder.Path || p.Unsigned != nil {
		t.Errorf("the external pack is told as %v", p)
	}
	for pin, want := range map[string]string{"": "1.1.0", "<1.1": "1.0.0", "2.0.0-rc.1": "2.0.0-rc.1", "^1": "1.1.0"} {
		request := plainCheck("owl")
		if pin != "" {
			request.Packs = []*v1.PackPin{{Name: proto.String("drill"), Version: &pin}}
		}
		answer, err := v1.NewCheckServiceClient(conn).Check(soon(t), request)
		if err != nil {
			t.Fatal(err)
		}
		if got := answer.GetFindings()[0].GetVersion(); got != want || answer.GetRuleset().GetPacks()[0].GetVersion() != want {
			t.Errorf("pinned to %q, %s answers, want %s", pin, got, want)
		}
	}
}

// Packs are added, replaced and withdrawn under load, and bad folders come between:
// no request fails, and each bad folder is told while the last good one serves.
func TestTheFolderChangesUnderLoad(t *testing.T) {
	f := newFolder(t)
	f.publish(1, "1.1.0")
	s := start(t, f.config())
	conn := connect(t, s)
	packs, checks := v1.NewPackServiceClient(conn), v1.NewCheckServiceClient(conn)
	ctx, stop := context.WithCancel(t.Context())
	var asked atomic.Int64
	var askers sync.WaitGroup
	for range 2 {
		askers.Go(func() {
			for ctx.Err() == nil {
				answer, err := checks.Check(context.WithoutCancel(ctx), plainCheck("owl"))
				if err != nil || len(answer.Findings) != 1 || answer.GetVerdict() != v1.Verdict_VERDICT_PASS {
					t.Errorf("a check is answered %v, %v", answer, err)
				}
				asked.Add(1)
			}
		})
	}
	good := "1.1.0* 1.0.0"
	serves := func(want string) {
		t.Helper()
		eventually(t, want+" serves", func() bool {
			list := listPacks(t, packs)
			return versionsIn(list) == want && len(list.Refused) == 0
		})
		good = want
	}
	refused := func(name, want string, spoil func()) {
		t.Helper()
		spoil()
		eventually(t, name+" is refused", func() bool {
			list := listPacks(t, packs)
			return len(list.Refused) == 1 && strings.Contains(list.Refused[0].GetReason(), want)
		})
		if got := versionsIn(listPacks(t, packs)); got != good {
			t.Errorf("%s changes what serves from %s to %s", name, good, got)
		}
	}
	serves("1.1.0* 1.0.0")
	refused("a program that does not start", "did not start", func() { f.publish(2, "1.1.0", "6.0.0") })
	refused("a manifest that lies", "the manifest lists pack drill in version 3.0.0 and it calls itself 9.9.9", func() { f.publish(2, "1.1.0", "3.0.0-lies") })
	refused("a pack that waits for itself", "cannot serve beside the others: packs drill wait for each other's facts", func() { f.publish(2, "1.1.0", "7.0.0") })
	refused("another digest", "has the SHA-256", func() { f.write(2, strings.Repeat("0", 64), true, "1.1.0", "1.2.0") })
	refused("no signature", "is not signed", func() { f.write(2, f.digest, false, "1.2.0") })
	f.publish(2, "1.1.0", "1.2.0")
	serves("1.2.0* 1.1.0 1.0.0")
	f.publish(3, "1.3.0")
	serves("1.3.0* 1.0.0")
	refused("an old manifest", "has revision 2 and revision 3 has served here already", func() { f.publish(2, "1.1.0", "1.2.0") })
	f.publish(4)
	serves("1.0.0")
	stop()
	askers.Wait()
	if asked.Load() == 0 {
		t.Error("no check was asked")
	}
	text := metricsText(t, s)
	if !strings.Contains(text, "slipfit_shelf_revision 4\n") || !strings.Contains(text, "slipfit_shelf_refused 0\n") {
		t.Errorf("metrics do not tell the folder's state:\n%s", text)
	}
}

func TestUnsignedPacksShowInTheList(t *testing.T) {
	f := newFolder(t)
	f.folder.AllowUnsigned = true
	f.write(1, f.digest, false, "1.1.0")
	list := listPacks(t, v1.NewPackServiceClient(connect(t, start(t, f.config()))))
	if got := versionsIn(list); got != "1.1.0* 1.0.0" || !list.Packs[0].GetUnsigned() || list.Packs[1].GetUnsigned() {
		t.Errorf("versions %s: %v", got, list.Packs)
	}
}
