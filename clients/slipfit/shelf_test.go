package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"slipfit.example/server/shelf"
)

func TestPackFolderFlagsSayWhatTheyWant(t *testing.T) {
	key := written(t, "packs.pub", "untrusted comment: minisign public key\nRWRhYmNkZWZnaAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA\n")
	folder := t.TempDir()
	for want, args := range map[string][]string{
		"--pack-folder wants --pack-keys":                         {"--pack-folder", "x"},
		"--pack-folder wants --pack-floor":                        {"--pack-folder", "x", "--pack-keys", "y"},
		"are about --pack-folder; name it":                        {"--allow-unsigned-packs"},
		"none.pub cannot be read: no such file or directory":      {"--pack-folder", "x", "--pack-keys", "none.pub", "--pack-floor", "z"},
		"the public key is not in minisign's format":              {"--pack-folder", "x", "--pack-keys", written(t, "bad.pub", "no key"), "--pack-floor", "z"},
		"lies in the pack folder, where whoever writes packs":     {"--pack-folder", folder, "--pack-keys", key, "--pack-floor", filepath.Join(folder, "floor")},
		"put the number of the last good revision there":          {"--pack-folder", folder, "--pack-keys", key, "--pack-floor", written(t, "floor", "seven")},
		"two revisions of which the second is the lower, such as": {"--pack-folder", folder, "--pack-keys", key, "--pack-floor", written(t, "floor", "7"), "--pack-floor-lower", "5:7"},
		"--pack-floor-lower is about --pack-floor; name it":       {"--pack-folder", folder, "--allow-unsigned-packs", "--pack-floor-lower", "7:5"},
		"by its whole path, so that nothing else is found":        {"--pack-folder", folder, "--pack-interpreter", "python3=python3"},
		"it is NAME=COMMAND":                                      {"--pack-folder", folder, "--pack-interpreter", "python3"},
	} {
		args = append([]string{"serve", "--listen", "127.0.0.1:0", "--http", "", "--operations", ""}, args...)
		if code, _, errOut := slipfit(t, "", args...); code != exitUsage || !strings.Contains(errOut, want) {
			t.Errorf("%v: exit code %d, errors %q, want %q", args, code, errOut, want)
		}
	}
}

// A floor beside the folder is outside it, be it named alike.
func TestFilesInAFolderAreTold(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "packs")
	if err := os.MkdirAll(filepath.Join(folder, "deep"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(folder, filepath.Join(dir, "link")); err != nil {
		t.Fatal(err)
	}
	for file, want := range map[string]bool{
		"packs/floor": true, "packs/deep/floor": true, "link/floor": true, "packs/deep/../floor": true,
		"floor": false, "packs-floor": false, "packs/../floor": false, "..floor": false,
	} {
		if got := liesIn(filepath.Join(dir, filepath.FromSlash(file)), folder); got != want {
			t.Errorf("%s lies in the folder: %v, want %v", file, got, want)
		}
	}
	if !liesIn(filepath.Join(folder, "floor"), filepath.Join(dir, "link")) {
		t.Error("a folder that is named by its link is another")
	}
}

// powerScript is a pack in a language that takes an interpreter: a script that turns
// into the power pack.
func powerScript(t *testing.T, folder string) {
	t.Helper()
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	text := "#!/usr/bin/env sh\nexec '" + program + "' pack power\n"
	if err := os.WriteFile(filepath.Join(folder, "power.sh"), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestManifestIsWrittenFromWhatTheProgramsSay(t *testing.T) {
	folder := t.TempDir()
	if code, _, errOut := slipfit(t, "", "packs", "manifest", folder); code != exitUsage || !strings.Contains(errOut, "no program lies in") {
		t.Errorf("an empty folder: exit code %d, errors %q", code, errOut)
	}
	powerScript(t, folder)
	want := "wants to be run by sh; allow it with --pack-interpreter 'sh=/usr/bin/sh', or wherever it lies here"
	if code, _, errOut := slipfit(t, "", "packs", "manifest", folder); code != exitUsage || !strings.Contains(errOut, want) {
		t.Errorf("exit code %d, errors %q, want %q", code, errOut, want)
	}
	for revision, more := range [][]string{{"--expires", "2099-12-31"}, nil, {"--revision", "40"}} {
		args := append([]string{"packs", "manifest", folder, "--pack-interpreter", "sh=/bin/sh"}, more...)
		code, out, errOut := slipfit(t, "", args...)
		if code != 0 || !strings.Contains(out, "power 0.1.0, protocol 2, in power.sh\nSign it: minisign -Sm "+folder) {
			t.Fatalf("exit code %d, it says %s, errors %q", code, out, errOut)
		}
		data, err := os.ReadFile(filepath.Join(folder, shelf.ManifestFile))
		if err != nil {
			t.Fatal(err)
		}
		m, err := shelf.ReadManifest(data)
		if err != nil {
			t.Fatal(err)
		}
		number := []uint64{1, 2, 40}[revision]
		if e := m.Packs[0]; len(m.Packs) != 1 || e.String() != "power 0.1.0" || e.Interpreter != "sh" || len(e.Provides) == 0 || m.Revision != number ||
			m.Expires.IsZero() != (revision != 0) {
			t.Errorf("the manifest is %+v", m)
		}
	}
	if err := os.Mkdir(filepath.Join(folder, "more"), 0o700); err != nil {
		t.Fatal(err)
	}
	if code, _, errOut := slipfit(t, "", "packs", "manifest", folder); code != exitUsage || !strings.Contains(errOut, "more is no regular file") {
		t.Errorf("a folder within: exit code %d, errors %q", code, errOut)
	}
}

// What is refused shows where the packs are listed, and reloading tells it in its exit
// code too. Here the folder brings a version that is built in.
func TestARefusedFolderShowsInListAndReload(t *testing.T) {
	folder := t.TempDir()
	powerScript(t, folder)
	if code, _, errOut := slipfit(t, "", "packs", "manifest", folder, "--pack-interpreter", "sh=/bin/sh"); code != 0 {
		t.Fatal(errOut)
	}
	address := serveFor(t, "--pack-folder", folder, "--allow-unsigned-packs", "--pack-interpreter", "sh=/bin/sh")
	_, out, _ := slipfit(t, "", "packs", "--server", address)
	for _, want := range []string{
		"The pack folder " + folder + " is refused: the packs of the folder cannot serve beside the others: pack power stands twice in version 0.1.0",
		"Nothing of the pack folder " + folder + " serves yet.",
		"Packs that NOBODY HAS SIGNED may run here (--allow-unsigned-packs)",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("the list does not say %q:\n%s", want, out)
		}
	}
	if code, _, errOut := slipfit(t, "", "packs", "reload", "--server", address); code != exitUsage || !strings.Contains(errOut, "pack power stands twice in version 0.1.0") {
		t.Errorf("reloading: exit code %d, errors %q", code, errOut)
	}
	if code, _, errOut := slipfit(t, "", "packs", "reload"); code != exitUsage || !strings.Contains(errOut, "--server says which service is to reload") {
		t.Errorf("reloading nobody: exit code %d, errors %q", code, errOut)
	}
}

// growing is a log that may be read while it is written.
type growing struct {
	mu   sync.Mutex
	text strings.Builder
}

// Write implements io.Writer.
func (g *growing) Write(p []byte) (int, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.text.Write(p)
}

// String is what was written so far.
func (g *growing) String() string {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.text.String()
}

// serveFor serves on loopback until the test ends and returns the address.
func serveFor(t *testing.T, flags ...string) string {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	log := new(growing)
	ended := make(chan int, 1)
	args := append([]string{"serve", "--listen", "127.0.0.1:0", "--http", "", "--operations", "", "--spare=false"}, flags...)
	go func() { ended <- run(ctx, args, strings.NewReader(""), log, log) }()
	t.Cleanup(func() {
		stop()
		if code := <-ended; code != 0 {
			t.Errorf("serving ended with exit code %d: %s", code, log)
		}
	})
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if _, after, ok := strings.Cut(log.String(), "msg=serving grpc="); ok && strings.Contains(after, "\n") {
			address, _, _ := strings.Cut(after, " ")
			return strings.TrimSpace(address)
		}
	}
	t.Fatalf("the service does not come up: %s", log)
	return ""
}
