//go:build linux

package packs

import (
	"context"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// once are options for packs that will not start and are not tried again.
func once() Options {
	return Options{Restart: Restart{First: time.Hour, Longest: time.Hour}}
}

func TestPackThatDoesNotStartSaysWhy(t *testing.T) {
	cases := []struct{ mode, want string }{
		{"prints early", `it wrote "hello from init" to standard output before the handshake; let it print to standard error`},
		{"prints without end early", `its first line has more than 8192 bytes: "` + strings.Repeat("no end ", 17) + `n" and more; let it print to standard error`},
		{"ends early", `it gave no handshake; it ended with exit status 3; it said "the table of screws is missing"`},
		{"panics early", `it gave no handshake; it ended with exit status 2; it said "panic: no such thread"`},
		{"closes its output early", `it gave no handshake; it ended with signal: killed`},
		{"speaks another transport", `it offers the transport "netrpc" and only gRPC is spoken; build it with the pack kit`},
		{"ignores the certificate", `it offers no certificate though the host asked for one; build it with a current go-plugin, or run the host without certificates`},
		{"from the future", `it speaks version 3 of the pack protocol and this host versions 1 to 2; update the host`},
		{"from the past", `it speaks version 0 of the pack protocol and this host versions 1 to 2; update the pack`},
		{"has another name", `it calls itself "stranger"; list it by that name, or name the right program`},
		{"describes another protocol", `it speaks version 3 of the pack protocol and this host versions 1 to 2; update the host`},
	}
	var launches []Launch
	for _, c := range cases {
		launches = append(launches, self(t, strings.ReplaceAll(c.mode, " ", "-"), c.mode))
	}
	s := supervise(t, once(), launches...)
	for n, c := range cases {
		t.Run(c.mode, func(t *testing.T) {
			want := `the pack "` + launches[n].Name + `" (` + launches[n].Command[0] + `) did not start: ` + c.want
			status := s.Statuses()[n]
			if status.Serving || status.LastError == nil || status.LastError.Error() != want {
				t.Errorf("status %+v\nwant    %s", status, want)
			}
		})
	}
	// The supervisor's end, after these, finds no process of any of them.
	if left := children(); len(left) > 0 {
		t.Errorf("processes of packs that did not start: %v", left)
	}
}

func TestPackThatGivesNoHandshakeInTimeSaysSo(t *testing.T) {
	o := once()
	o.StartTimeout = 500 * time.Millisecond
	s := supervise(t, o, self(t, "slow", "sleeps early"))
	const want = "did not start: it gave no handshake within 500ms"
	if err := s.Pack("slow").Status().LastError; err == nil || !strings.HasSuffix(err.Error(), want) || len(children()) > 0 {
		t.Errorf("%v, processes %v\nwant at its end: %s", err, children(), want)
	}
}

func TestPackThatFailsAfterItsHandshakeLeavesNoProcess(t *testing.T) {
	o := once()
	o.StartTimeout = 5 * time.Second
	s := supervise(t, o, self(t, "hanging", "hangs when described"), self(t, "panicking", "panics when described"))
	if left := children(); len(left) > 0 {
		t.Errorf("left: %v", left)
	}
	for name, want := range map[string]string{
		"hanging":   "did not start: it did not say what it is: rpc error: code = DeadlineExceeded",
		"panicking": `it ended with exit status 2; it said "panic: no description`,
	} {
		if err := s.Pack(name).Status().LastError; err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v\nwant in it: %s", name, err, want)
		}
	}
}

func TestMissingProgramSaysSo(t *testing.T) {
	s := supervise(t, once(), Launch{Name: "lost", Command: []string{"/nowhere/pack"}})
	const want = `the pack "lost" (/nowhere/pack) did not start: its program cannot be found: `
	if err := s.Pack("lost").Status().LastError; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("%v\nwant %s", err, want)
	}
}

func TestGoodPacksServeWhileAnotherHangsInItsStart(t *testing.T) {
	s := supervise(t, Options{ReadyTimeout: time.Second, StartTimeout: time.Hour},
		self(t, "slow", "sleeps early"), self(t, "one", "serves"), self(t, "two", "serves"), self(t, "three", "serves"))
	if s.Ready() {
		t.Error("ready without all packs")
	}
	for _, name := range []string{"one", "two", "three"} {
		if got := mustTell(t, live(t, s.Pack(name)), "hello"); got != "hello" {
			t.Errorf("%s answered %q", name, got)
		}
	}
	if _, err := s.Pack("slow").Instance(); err == nil {
		t.Error("the hanging pack has an instance")
	}
	// Stopping does not wait for the start, which has an hour: it would never return.
	if err := s.Stop(context.Background()); err != nil {
		t.Error(err)
	}
}

// A pack's first line must not send the host to a port, nor to another program's
// socket.
func TestAddressOutsideTheOwnFolderIsNeverDialled(t *testing.T) {
	elsewhere := filepath.Join(shortDir(t), "s")
	tcp := listen(t, "tcp", "127.0.0.1:0")
	unix := listen(t, "unix", elsewhere)
	options := once()
	options.NoTLS = true
	s := supervise(t, options,
		self(t, "to-port", "names an address", envHint+"=tcp|"+tcp.Addr().String()),
		self(t, "to-socket", "names an address", envHint+"=unix|"+elsewhere),
		self(t, "to-parent", "names an address", envHint+"=unix|/proc/self/root"+elsewhere),
		self(t, "to-abstract", "names an address", envHint+"=unix|@abstract"),
		self(t, "to-link", "names a link", envHint+"="+elsewhere))
	for name, want := range map[string]string{
		"to-port":     `it offers the address "tcp ` + tcp.Addr().String() + `"; only a Unix socket in its own folder is dialled`,
		"to-socket":   `it offers the socket "` + elsewhere + `", which is not in its own folder`,
		"to-parent":   `which is not in its own folder`,
		"to-abstract": `it offers the socket "@abstract", which is not in its own folder`,
		"to-link":     `which is no socket; let go-plugin make the socket`,
	} {
		if err := s.Pack(name).Status().LastError; err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v\nwant in it: %s", name, err, want)
		}
	}
	for _, l := range []*countingListener{tcp, unix} {
		if n := l.connects.Load(); n != 0 {
			t.Errorf("%v was dialled %d times", l.Addr(), n)
		}
	}
	// The listener does count.
	conn, err := net.Dial("tcp", tcp.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	_ = conn.Close()
	eventually(t, 5*time.Second, "the listener counts nothing", func() bool { return tcp.connects.Load() == 1 })
}

type countingListener struct {
	net.Listener
	connects atomic.Int64
}

func listen(t *testing.T, network, address string) *countingListener {
	t.Helper()
	l, err := net.Listen(network, address)
	if err != nil {
		t.Fatal(err)
	}
	counting := &countingListener{Listener: l}
	done := make(chan struct{})
	go func() {
		defer close(done)
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			counting.connects.Add(1)
			_ = conn.Close()
		}
	}()
	t.Cleanup(func() { _ = l.Close(); <-done })
	return counting
}

func TestPackSeesOnlyTheListedVariables(t *testing.T) {
	t.Setenv("SLIPFIT_TEST_SECRET", "do not tell")
	t.Setenv("TZ", "UTC")
	s := supervise(t, Options{}, self(t, "nosy", "serves", "GREETING=hello"))
	seen := map[string]bool{}
	for line := range strings.Lines(mustTell(t, live(t, s.Pack("nosy")), "environment")) {
		key, _, ok := strings.Cut(line, "=")
		// The certificate has lines of its own.
		if ok && strings.ToUpper(key) == key && !strings.ContainsAny(key, "/+ ") {
			seen[key] = true
		}
	}
	for _, key := range []string{"TZ", "GREETING", "SLIPFIT_PACK"} {
		if !seen[key] {
			t.Errorf("%s is missing in %v", key, seen)
		}
	}
	allowed := map[string]bool{
		"PATH": true, "TZ": true, "LANG": true, "GREETING": true, "SLIPFIT_PACK": true,
		envMode: true, envName: true, "SLIPFIT_PACK_WATCH_STDIN": true,
	}
	for key := range seen {
		if !allowed[key] && !strings.HasPrefix(key, "PLUGIN_") {
			t.Errorf("the pack sees %s", key)
		}
	}
}

func TestImpossibleLaunchesAreRefused(t *testing.T) {
	_, err := Start(context.Background(), []Launch{
		{Name: "Thermal", Command: []string{"x"}}, {Name: "power"}, {Name: "air", Command: []string{"x"}}, {Name: "air", Command: []string{"x"}},
	}, Options{Dir: shortDir(t), Logger: slog.New(slog.DiscardHandler)})
	const want = `pack 1 has the name "Thermal"; use lower-case letters, digits and hyphens, a letter first, 64 at most
the pack "power" has no command; name its program
the pack "air" is listed twice; keep one of them`
	if err == nil || err.Error() != want {
		t.Errorf("%v\nwant %s", err, want)
	}
}

func TestBrokenOffStartLeavesNothing(t *testing.T) {
	dir := shortDir(t)
	ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
	defer cancel()
	_, err := Start(ctx, []Launch{self(t, "slow", "sleeps early"), self(t, "good", "serves")},
		Options{Dir: dir, Logger: slog.New(slog.DiscardHandler), ReadyTimeout: time.Minute, StartTimeout: time.Minute})
	if err == nil || !strings.Contains(err.Error(), "the start of the packs was broken off") {
		t.Errorf("error %v", err)
	}
	if left := append(children(), filesUnder(t, dir)...); len(left) > 0 {
		t.Errorf("left: %v", left)
	}
	if _, err := os.Stat(dir); err != nil {
		t.Error(err)
	}
}
