package server_test

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/shelf"
)

// askAllTheTime asks checks until done is called. Every one has to be answered whole.
func askAllTheTime(t *testing.T, client v1.CheckServiceClient) (done func() int64) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	var asked atomic.Int64
	var askers sync.WaitGroup
	for range 2 {
		askers.Go(func() {
			for ctx.Err() == nil {
				answer, err := client.Check(context.WithoutCancel(ctx), plainCheck("owl"))
				if err != nil || len(answer.Findings) != 1 || answer.GetVerdict() != v1.Verdict_VERDICT_PASS {
					t.Errorf("a check is answered %v, %v", answer, err)
				}
				asked.Add(1)
				time.Sleep(time.Millisecond) // the packs that come need the processors too
			}
		})
	}
	return func() int64 {
		stop()
		askers.Wait()
		return asked.Load()
	}
}

// badFolders are ways in which a folder can be bad whose last good manifest had
// revision 2 and the versions 1.1.0 and 1.2.0, each with what the refusal has to say.
var badFolders = []struct {
	name, want string
	spoil      func(f *folderOf)
}{
	{"no signature", "packs.yaml is not signed", func(f *folderOf) {
		f.publish(3, "1.2.0")
		_ = os.Remove(filepath.Join(f.folder.Path, shelf.SignatureFile))
	}},
	{"a signature of nothing", "is no signature in minisign's format", func(f *folderOf) { f.put(shelf.SignatureFile, "") }},
	{"a foreign key", "the signature of packs.yaml does not fit it", func(f *folderOf) {
		_, foreign, _ := ed25519.GenerateKey(rand.Reader)
		f.signBy(foreign, f.manifest(3, "1.2.0"))
	}},
	{"a manifest changed behind its signature", "the signature of packs.yaml does not fit it", func(f *folderOf) {
		f.publish(3, "1.2.0")
		f.put(shelf.ManifestFile, f.manifest(4, "1.2.0"))
	}},
	{"a program changed", "has the SHA-256", func(f *folderOf) {
		f.publish(3, "1.2.0")
		path := filepath.Join(f.folder.Path, shelvedPrefix+"1.2.0")
		_ = os.Remove(path)
		_ = os.WriteFile(path, []byte("another"), 0o700)
	}},
	{"a program away", "drill-pack-1.2.0 cannot be looked at", func(f *folderOf) {
		f.publish(3, "1.2.0")
		_ = os.Remove(filepath.Join(f.folder.Path, shelvedPrefix+"1.2.0"))
	}},
	{"a file that nobody signed for", "owl.txt lies in the pack folder and packs.yaml does not list it", func(f *folderOf) {
		f.publish(3, "1.2.0")
		_ = os.WriteFile(filepath.Join(f.folder.Path, "owl.txt"), nil, 0o600)
	}},
	{"a link", "is no regular file; links are not followed", func(f *folderOf) {
		f.publish(3, "1.2.0")
		path := filepath.Join(f.folder.Path, shelvedPrefix+"1.2.0")
		_ = os.Remove(path)
		_ = os.Symlink(os.Args[0], path)
	}},
	{"a way out of the folder", "is no plain name of a file in the folder", func(f *folderOf) {
		f.lay()
		f.sign("revision: 3\npacks:\n" + f.entry("1.2.0", "program: ../drill"))
	}},
	{"a pack listed twice", "pack drill is listed twice in version 1.2.0", func(f *folderOf) { f.publish(3, "1.2.0", "1.2.0") }},
	{"an unknown field", "field reach not found", func(f *folderOf) {
		f.lay("1.2.0")
		f.sign("reach: all\n" + f.manifest(3, "1.2.0"))
	}},
	{"a huge manifest", "it has more than 262144 bytes", func(f *folderOf) {
		f.lay("1.2.0")
		f.sign(f.manifest(3, "1.2.0") + "#" + strings.Repeat("x", shelf.MaxManifest))
	}},
	{"an old manifest", "has revision 1 and revision 2 has served here already", func(f *folderOf) { f.publish(1, "1.1.0") }},
	{"another manifest of the same number", "differs from the one that has served here with this number", func(f *folderOf) { f.publish(2, "1.3.0") }},
	{"an expired manifest", "packs.yaml has expired on 2021-03-04", func(f *folderOf) {
		f.lay("1.2.0")
		f.sign("expires: 2021-03-04\n" + f.manifest(3, "1.2.0"))
	}},
	{"a pack newer than the host", "pack drill speaks version 3 of the pack protocol and this host versions 1 to 2; update the host", func(f *folderOf) {
		f.lay("1.2.0")
		f.sign("revision: 3\npacks:\n" + f.entry("1.2.0", "protocol: 3"))
	}},
	{"an interpreter that is not allowed", "wants to be run by python3, and this host allows none", func(f *folderOf) {
		f.lay("1.2.0")
		f.sign("revision: 3\npacks:\n" + f.entry("1.2.0", "interpreter: python3"))
	}},
	{"another program for a version that serves", "pack drill 1.1.0 is another program than the one that serves", func(f *folderOf) {
		f.lay("1.1.0")
		path := filepath.Join(f.folder.Path, shelvedPrefix+"1.1.0")
		_ = os.Remove(path)
		_ = os.WriteFile(path, []byte("another"), 0o700)
		f.sign("revision: 3\npacks:\n" + f.entry("1.1.0", fmt.Sprintf("sha256: %x", sha256.Sum256([]byte("another")))))
	}},
	{"a program that does not start", "did not start", func(f *folderOf) { f.publish(3, "1.3.0", "6.0.0") }},
	{"a manifest that lies about a version", "with the version 3.0.0 and it says 9.9.9 of itself", func(f *folderOf) { f.publish(3, "1.3.0", "3.0.0-lies") }},
	{"a manifest that lies about a name", `it calls itself "stranger"`, func(f *folderOf) { f.publish(3, "1.3.0", "8.0.0") }},
	{"a manifest that lies about the protocol", "with the protocol 1 and it says 2 of itself", func(f *folderOf) {
		f.lay("1.3.0")
		f.sign("revision: 3\npacks:\n" + f.entry("1.3.0", "protocol: 1"))
	}},
	{"a manifest that lies about facts", "with the provides [owl.flight] and it says [] of itself", func(f *folderOf) {
		f.lay("1.3.0")
		f.sign("revision: 3\npacks:\n" + f.entry("1.3.0", "provides: [owl.flight]"))
	}},
	{"a manifest that lies about a pack that serves", "with the needs [owl.flight] and it says [] of itself", func(f *folderOf) {
		f.lay("1.1.0")
		f.sign("revision: 3\npacks:\n" + f.entry("1.1.0", "needs: [owl.flight]"))
	}},
	{"a pack that waits for itself", "packs drill wait for each other's facts", func(f *folderOf) { f.publish(3, "1.3.0", "7.0.0") }},
	{"two packs that provide one fact", "both provide the fact drill.fact", func(f *folderOf) {
		f.lay("9.0.0", "9.1.0")
		f.sign("revision: 3\npacks:\n" + f.entry("9.0.0") + f.entry("9.1.0", "name: owl"))
	}},
	{"a version that is built in", "pack drill stands twice in version 1.0.0", func(f *folderOf) { f.publish(3, "1.0.0", "1.3.0") }},
}

// Whatever is bad about a folder, it is refused with the reason, what serves stays
// whole at every moment, not only afterwards, and no check is lost.
func TestBadFoldersChangeNothingUnderLoad(t *testing.T) {
	f := newFolder(t)
	f.publish(1, "1.1.0")
	config := f.config()
	config.ShelfPeriod = time.Hour // so that nobody looks while a folder is being spoilt
	s := start(t, config)
	conn := connect(t, s)
	packs := v1.NewPackServiceClient(conn)
	done := askAllTheTime(t, v1.NewCheckServiceClient(conn))
	f.publish(2, "1.1.0", "1.2.0")
	reload(t, packs)
	good := listPacks(t, packs)
	if got := versionsIn(good); got != "1.2.0* 1.1.0 1.0.0" {
		t.Fatalf("versions %s serve", got)
	}
	watch := make(chan struct{})
	var watcher sync.WaitGroup
	watcher.Go(func() {
		for {
			select {
			case <-watch:
				return
			case <-time.After(5 * time.Millisecond):
				if list, err := packs.ListPacks(t.Context(), &v1.ListPacksRequest{}); err != nil || list.GetRuleset().GetDigest() != good.GetRuleset().GetDigest() {
					t.Errorf("%v serves, error %v", list.GetRuleset(), err)
				}
			}
		}
	})
	for _, c := range badFolders {
		t.Run(c.name, func(t *testing.T) {
			c.spoil(f)
			_, err := packs.ReloadPacks(soon(t), &v1.ReloadPacksRequest{})
			if status.Code(err) != codes.FailedPrecondition || !strings.Contains(err.Error(), c.want) ||
				detailOf[*errdetails.ErrorInfo](t, err).Reason != "PACK_FOLDER_REFUSED" {
				t.Errorf("reloading tells %v, want %s", err, c.want)
			}
			list := listPacks(t, packs)
			if len(list.Refused) != 1 || !strings.Contains(list.Refused[0].GetReason(), c.want) {
				t.Errorf("the list tells %v, want %s", list.Refused, c.want)
			}
			if got := versionsIn(list); got != "1.2.0* 1.1.0 1.0.0" || list.Folder.GetRevision() != 2 {
				t.Errorf("%s serve, of revision %d", got, list.Folder.GetRevision())
			}
			f.publish(2, "1.1.0", "1.2.0") // the good one again, under its own number
			reload(t, packs)
			if list := listPacks(t, packs); len(list.Refused) != 0 {
				t.Errorf("once it is mended the list still tells %v", list.Refused)
			}
		})
	}
	close(watch)
	watcher.Wait()
	if done() == 0 {
		t.Error("no check was asked")
	}
	if left := shelvedChildren(t); len(left) != 2 {
		t.Errorf("of the folder's packs run %v, want two", left)
	}
}

// shelvedChildren are the external packs that this process has started and that live.
func shelvedChildren(t *testing.T) (out []string) {
	t.Helper()
	lists, err := filepath.Glob("/proc/self/task/*/children")
	if err != nil || len(lists) == 0 {
		t.Fatalf("the children of this process cannot be read: %v", err)
	}
	for _, list := range lists {
		children, _ := os.ReadFile(list) // a thread may have ended
		for _, child := range strings.Fields(string(children)) {
			command, _ := os.ReadFile("/proc/" + child + "/cmdline")
			if program := filepath.Base(strings.TrimRight(string(command), "\x00")); strings.HasPrefix(program, shelvedPrefix) {
				out = append(out, program)
			}
		}
	}
	return out
}

func reload(t *testing.T, packs v1.PackServiceClient) {
	t.Helper()
	if _, err := packs.ReloadPacks(soon(t), &v1.ReloadPacksRequest{}); err != nil {
		t.Error(err)
	}
}

// Packs are added, replaced and withdrawn under load, by the service's own looking:
// no request fails.
func TestTheFolderChangesUnderLoad(t *testing.T) {
	f := newFolder(t)
	f.publish(1, "1.1.0")
	s := start(t, f.config())
	conn := connect(t, s)
	packs := v1.NewPackServiceClient(conn)
	done := askAllTheTime(t, v1.NewCheckServiceClient(conn))
	for revision, c := range []struct {
		versions []string
		want     string
	}{
		{[]string{"1.1.0"}, "1.1.0* 1.0.0"},
		{[]string{"1.1.0", "1.2.0"}, "1.2.0* 1.1.0 1.0.0"},
		{[]string{"1.3.0"}, "1.3.0* 1.0.0"},
		{[]string{"5.0.0", "1.3.0"}, "5.0.0* 1.3.0 1.0.0"}, // of the older protocol
		{[]string{"1.3.0", "2.0.0-rc.1"}, "2.0.0-rc.1 1.3.0* 1.0.0"},
		{nil, "1.0.0"},
		{[]string{"1.4.0"}, "1.4.0* 1.0.0"},
	} {
		f.publish(revision+1, c.versions...)
		eventually(t, c.want+" serves", func() bool {
			list := listPacks(t, packs)
			return versionsIn(list) == c.want && len(list.Refused) == 0
		})
	}
	if done() == 0 {
		t.Error("no check was asked")
	}
	text := metricsText(t, s)
	if !strings.Contains(text, "slipfit_shelf_revision 7\n") || !strings.Contains(text, "slipfit_shelf_refused 0\n") {
		t.Errorf("metrics do not tell the folder's state:\n%s", text)
	}
}
