package server_test

import (
	"bytes"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/health/grpc_health_v1"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/shelf"
)

func TestUnsignedPacksShowInTheList(t *testing.T) {
	f := newFolder(t)
	f.folder.AllowUnsigned = true
	f.publish(1, "1.1.0")
	if err := os.Remove(filepath.Join(f.folder.Path, shelf.SignatureFile)); err != nil {
		t.Fatal(err)
	}
	list := listPacks(t, v1.NewPackServiceClient(connect(t, start(t, f.config()))))
	if got := versionsIn(list); got != "1.1.0* 1.0.0" || !list.Packs[0].GetUnsigned() || list.Packs[1].GetUnsigned() || !list.Folder.GetAllowsUnsigned() {
		t.Errorf("versions %s: %v, folder %v", got, list.Packs, list.Folder)
	}
}

// A service starts with its built-in packs though its folder is bad, and takes the
// folder in once it is good, under the same revision and the same manifest.
func TestABadFolderAtStartIsTakenOnceItIsGood(t *testing.T) {
	f := newFolder(t)
	f.publish(1, "1.1.0")
	program := filepath.Join(f.folder.Path, shelvedPrefix+"1.1.0")
	if err := os.Rename(program, filepath.Join(t.TempDir(), "aside")); err != nil {
		t.Fatal(err)
	}
	s := start(t, f.config())
	packs := v1.NewPackServiceClient(connect(t, s))
	if list := listPacks(t, packs); versionsIn(list) != "1.0.0" || len(list.Refused) != 1 || list.Folder.Revision != nil {
		t.Errorf("%s serve; refused %v; folder %v", versionsIn(list), list.Refused, list.Folder)
	}
	if age := now(t, s, "slipfit_shelf_agreed_time_seconds"); age != 0 {
		t.Errorf("a folder that never served agreed at %v", age)
	}
	before := time.Now()
	f.lay("1.1.0")
	eventually(t, "the mended folder serves", func() bool {
		list := listPacks(t, packs)
		return versionsIn(list) == "1.1.0* 1.0.0" && len(list.Refused) == 0
	})
	for _, metric := range []string{"slipfit_shelf_activation_time_seconds", "slipfit_shelf_agreed_time_seconds"} {
		if at := now(t, s, metric); at < float64(before.Unix()) || at > float64(time.Now().Unix()+1) {
			t.Errorf("%s is %v", metric, at)
		}
	}
}

// A pack whose program ends at once is not started at every look.
func TestPacksThatDoNotComeUpAreTriedEverMoreSeldom(t *testing.T) {
	f := newFolder(t)
	f.publish(1, "1.1.0")
	config := f.config()
	var log lines
	config.Log = slog.New(slog.NewTextHandler(&log, nil))
	s, err := server.Start(t.Context(), config)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stop(t, s) })
	packs := v1.NewPackServiceClient(connect(t, s))
	f.publish(2, "6.0.0")
	eventually(t, "the folder is refused", func() bool { return len(listPacks(t, packs).Refused) == 1 })
	began := time.Now()
	time.Sleep(30 * config.ShelfPeriod)
	looks := float64(time.Since(began) / config.ShelfPeriod)
	// Rests of 2, 4, 8, ... periods: no more attempts than the logarithm of the looks,
	// and one more for each that was on its way.
	if attempts := log.count("exit status 6"); float64(attempts) > looks/3 {
		t.Errorf("%d attempts in %v looks", attempts, looks)
	}
	// Who asks for it gets another attempt at once, and its error.
	_, err = packs.ReloadPacks(soon(t), &v1.ReloadPacksRequest{})
	wantCode(t, err, codes.FailedPrecondition)
	if n := log.count("the pack folder is refused"); n != 1 {
		t.Errorf("one and the same refusal is logged %d times", n)
	}
	f.publish(3, "1.2.0")
	eventually(t, "the next manifest serves", func() bool { return versionsIn(listPacks(t, packs)) == "1.2.0* 1.0.0" })
	eventually(t, "the log tells that the folder is good again", func() bool { return log.count("the pack folder is good again") == 1 })
}

// lines is a log that may be read while it is written.
type lines struct {
	mu   sync.Mutex
	text bytes.Buffer
}

// Write implements io.Writer.
func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *lines) count(word string) int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return strings.Count(l.text.String(), word)
}

func TestNothingServesThatTheFloorCouldNotRecord(t *testing.T) {
	f := newFolder(t)
	home := filepath.Join(t.TempDir(), "home")
	if err := os.Mkdir(home, 0o700); err != nil {
		t.Fatal(err)
	}
	floor, err := shelf.OpenFloor(filepath.Join(home, "floor"))
	if err != nil {
		t.Fatal(err)
	}
	f.folder.Floor = floor
	if err := os.Remove(home); err != nil {
		t.Fatal(err)
	}
	f.publish(1, "1.1.0")
	list := listPacks(t, v1.NewPackServiceClient(connect(t, start(t, f.config()))))
	if versionsIn(list) != "1.0.0" || len(list.Refused) != 1 || !strings.Contains(list.Refused[0].GetReason(), "could not be recorded") {
		t.Errorf("%s serve; refused %v", versionsIn(list), list.Refused)
	}
}

func TestReloadingWithoutAFolderSaysSo(t *testing.T) {
	_, err := v1.NewPackServiceClient(connect(t, start(t, drillConfig()))).ReloadPacks(soon(t), &v1.ReloadPacksRequest{})
	wantCode(t, err, codes.FailedPrecondition)
	if info := detailOf[*errdetails.ErrorInfo](t, err); info.Reason != "NO_PACK_FOLDER" {
		t.Errorf("the reason is %v", info)
	}
}

// Whoever watches a pack by name learns that it is gone.
func TestAWithdrawnPackIsNoLongerTold(t *testing.T) {
	f := newFolder(t)
	f.lay("9.1.0")
	f.sign("revision: 1\npacks:\n" + f.entry("9.1.0", "name: owl"))
	conn := connect(t, start(t, f.config()))
	status := func() string {
		r, err := grpc_health_v1.NewHealthClient(conn).Check(soon(t), &grpc_health_v1.HealthCheckRequest{Service: "slipfit.pack.owl"})
		if err != nil {
			t.Fatal(err)
		}
		return r.GetStatus().String()
	}
	eventually(t, "the pack serves", func() bool { return status() == "SERVING" })
	f.publish(2)
	eventually(t, "the pack is unknown", func() bool { return status() == "SERVICE_UNKNOWN" })
}
