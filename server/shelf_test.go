package server_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/hashicorp/go-hclog"
	"github.com/hashicorp/go-plugin"
	"golang.org/x/crypto/blake2b"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"slipfit.example/proto/openapi"
	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/server"
	"slipfit.example/server/gateway"
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
	switch major, _, _ := strings.Cut(version, "."); major {
	case "5": // the drill of old, of the pack protocol's version 1
		beDrillOfProtocol1(version)
		return true
	case "6":
		os.Exit(6)
	case "7":
		p.Needs, p.Provides = []string{"drill.fact"}, []string{"drill.fact"}
	case "8":
		rename(p, "stranger")
	case "9": // two packs that work out one fact
		p.Provides = []string{"drill.fact"}
		if strings.HasPrefix(version, "9.1") {
			rename(p, "owl")
		}
	}
	bePackOf(p)
	return true
}

func rename(p *kit.Pack, name string) {
	p.Name = name
	p.Rules[0].ID, p.Rules[0].Parameters = name+".hold", nil
}

// beDrillOfProtocol1 is the drill as it was built when there was only version 1 of the
// pack protocol: go-plugin gets one set of plugins, and nothing is negotiated.
func beDrillOfProtocol1(version string) {
	p := drill()
	p.Version = version
	evaluator, err := kit.NewEvaluator(p)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	plugin.Serve(&plugin.ServeConfig{
		HandshakeConfig: plugin.HandshakeConfig{ProtocolVersion: 1, MagicCookieKey: "SLIPFIT_PACK", MagicCookieValue: "slipfit.pack.v1"},
		Plugins:         plugin.PluginSet{"pack": &plug.GRPC{Service: &ofProtocol1{kit.NewService(evaluator), evaluator}}},
		Logger:          hclog.NewNullLogger(),
		GRPCServer:      plugin.DefaultGRPCServer,
	})
}

// ofProtocol1 answers whatever it is asked in version 1.
type ofProtocol1 struct {
	*kit.Service
	evaluator *kit.Evaluator
}

func (s *ofProtocol1) Describe(context.Context, *packv1.DescribeRequest) (*packv1.DescribeResponse, error) {
	d := s.evaluator.Describe()
	d.Protocol, d.Capabilities = proto.Uint32(1), nil
	return d, nil
}

// folderOf is a pack folder that a test writes to.
type folderOf struct {
	t       testing.TB
	folder  *shelf.Folder
	private ed25519.PrivateKey
	digest  string // of this test binary
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
		folder: &shelf.Folder{Path: t.TempDir(), Keys: []shelf.Key{key}, Floor: floor},
	}
}

// publish lays the drill down in these versions and signs for them.
func (f *folderOf) publish(revision int, versions ...string) {
	f.t.Helper()
	f.lay(versions...)
	f.sign(f.manifest(revision, versions...))
}

// lay has the folder hold these programs and no others.
func (f *folderOf) lay(versions ...string) {
	f.t.Helper()
	names, err := os.ReadDir(f.folder.Path)
	if err != nil {
		f.t.Fatal(err)
	}
	for _, n := range names {
		if version, ok := strings.CutPrefix(n.Name(), shelvedPrefix); !ok && n.Name() != shelf.ManifestFile && n.Name() != shelf.SignatureFile || ok && !slices.Contains(versions, version) {
			_ = os.RemoveAll(filepath.Join(f.folder.Path, n.Name()))
		}
	}
	for _, v := range versions {
		program := shelvedPrefix + v
		_ = os.Remove(filepath.Join(f.folder.Path, program))
		if err := os.Link(os.Args[0], filepath.Join(f.folder.Path, program)); err != nil {
			f.copyProgram(program)
		}
	}
}

// manifest lists the drill in these versions.
func (f *folderOf) manifest(revision int, versions ...string) string {
	text := fmt.Sprintf("revision: %d\npacks:\n", revision)
	for _, v := range versions {
		text += f.entry(v)
	}
	return text
}

// entry lists the drill in one version, with other fields than usual where they are
// given as "field: value".
func (f *folderOf) entry(version string, others ...string) string {
	fields := map[string]string{
		"name": "drill", "version": strings.TrimSuffix(version, "-lies"), "protocol": "2",
		"program": shelvedPrefix + version, "sha256": f.digest,
	}
	if strings.HasPrefix(version, "5.") {
		fields["protocol"] = "1"
	}
	for _, other := range others {
		field, value, _ := strings.Cut(other, ": ")
		fields[field] = value
	}
	var list []string
	for _, field := range slices.Sorted(maps.Keys(fields)) {
		list = append(list, field+": "+fields[field])
	}
	return "- {" + strings.Join(list, ", ") + "}\n"
}

// sign puts a manifest and its signature there.
func (f *folderOf) sign(manifest string) {
	f.t.Helper()
	f.signBy(f.private, manifest)
}

func (f *folderOf) signBy(private ed25519.PrivateKey, manifest string) {
	f.t.Helper()
	sum := blake2b.Sum512([]byte(manifest))
	signature := ed25519.Sign(private, sum[:])
	whole := ed25519.Sign(private, append(append([]byte{}, signature...), "c"...))
	text := "untrusted comment: x\n" + base64.StdEncoding.EncodeToString(append([]byte("EDabcdefgh"), signature...)) +
		"\ntrusted comment: c\n" + base64.StdEncoding.EncodeToString(whole) + "\n"
	f.put(shelf.ManifestFile, manifest)
	f.put(shelf.SignatureFile, text)
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
	config.Shelf, config.ShelfPeriod = f.folder, 20*time.Millisecond
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
	if fo := list.Folder; fo.GetPath() != f.folder.Path || fo.GetRevision() != 1 || len(fo.GetDigest()) != 64 || fo.GetAllowsUnsigned() || fo.ServingSince == nil || fo.AgreedAt == nil {
		t.Errorf("the folder is told as %v", fo)
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

// A pack that is replaced while it serves makes another entity tag for the same basket:
// what a browser kept no longer counts, and counts again once asked anew.
func TestTagChangesWhenAPackIsReplaced(t *testing.T) {
	f := newFolder(t)
	f.publish(1, "1.1.0")
	s := start(t, f.config())
	packs := v1.NewPackServiceClient(connect(t, s))
	g, err := gateway.New(s, gateway.Config{Description: openapi.JSON, DescriptionYAML: openapi.YAML})
	if err != nil {
		t.Fatal(err)
	}
	ask := func(tag string) *http.Response {
		body, err := protojson.Marshal(plainCheck("owl"))
		if err != nil {
			t.Fatal(err)
		}
		request := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/v1/check", bytes.NewReader(body))
		request.Header.Set("Content-Type", "application/json")
		if tag != "" {
			request.Header.Set("If-None-Match", tag)
		}
		answer := httptest.NewRecorder()
		g.ServeHTTP(answer, request)
		return answer.Result()
	}
	old := ask("").Header.Get("ETag")
	if got := ask(old); old == "" || got.StatusCode != http.StatusNotModified {
		t.Fatalf("an unchanged basket with the tag %q is answered by %d", old, got.StatusCode)
	}
	f.publish(2, "1.2.0")
	eventually(t, "the new version serves", func() bool { return versionsIn(listPacks(t, packs)) == "1.2.0* 1.0.0" })
	got := ask(old)
	fresh := got.Header.Get("ETag")
	if got.StatusCode != http.StatusOK || fresh == "" || fresh == old {
		t.Errorf("with another version of its pack the basket is answered by %d and the tag %q, which was %q", got.StatusCode, fresh, old)
	}
	if got := ask(fresh); got.StatusCode != http.StatusNotModified {
		t.Errorf("asked once more it is answered by %d", got.StatusCode)
	}
}
