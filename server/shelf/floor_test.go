package shelf

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func openFloor(t *testing.T, path string) *Floor {
	t.Helper()
	f, err := OpenFloor(path)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// An older manifest is refused although its signature is good, and a restart does
// not forget.
func TestTheFloorRefusesRollBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "floor")
	floor := openFloor(t, path)
	f := folder(t, goSigner(t), manifest(entry()))
	f.Floor = floor
	if _, err := f.Read(); err != nil {
		t.Fatal(err)
	}
	for _, revision := range []uint64{4, 2} {
		if err := floor.Raise(revision, strings.Repeat("a", 64)); err != nil {
			t.Fatal(err)
		}
	}
	f.Floor = openFloor(t, path)
	want := "packs.yaml has revision 3 and revision 4 has served here already; an older one is not taken though its signature is good"
	if _, err := f.Read(); err == nil || err.Error() != want {
		t.Errorf("error %v", err)
	}
}

// Two manifests under one number cannot both have been meant to serve.
func TestARevisionIsOneManifest(t *testing.T) {
	path := filepath.Join(t.TempDir(), "floor")
	f := folder(t, goSigner(t), manifest(entry()))
	f.Floor = openFloor(t, path)
	content, err := f.Read()
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Floor.Raise(3, content.Digest); err != nil {
		t.Fatal(err)
	}
	f.Floor = openFloor(t, path)
	if _, err := f.Read(); err != nil {
		t.Errorf("the same manifest is refused after a restart: %v", err)
	}
	if err := os.WriteFile(path, []byte("3 "+strings.Repeat("b", 64)+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	f.Floor = openFloor(t, path)
	want := "packs.yaml has revision 3 and differs from the one that has served here with this number; give it a higher one"
	if _, err := f.Read(); err == nil || err.Error() != want {
		t.Errorf("error %v", err)
	}
	// A number put there by hand says nothing about the manifest.
	if err := os.WriteFile(path, []byte("3"), 0o600); err != nil {
		t.Fatal(err)
	}
	f.Floor = openFloor(t, path)
	if _, err := f.Read(); err != nil {
		t.Errorf("error %v", err)
	}
}

func TestLoweringTheFloorWorksOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "floor")
	floor := openFloor(t, path)
	if err := floor.Raise(5, strings.Repeat("a", 64)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		from, to uint64
		lowered  bool
		least    uint64
	}{{4, 3, false, 5}, {5, 5, false, 5}, {5, 6, false, 5}, {5, 3, true, 3}, {5, 3, false, 3}} {
		lowered, err := floor.Lower(c.from, c.to)
		if err != nil || lowered != c.lowered || openFloor(t, path).Least() != c.least {
			t.Errorf("from %d to %d: lowered %v, error %v, least %d", c.from, c.to, lowered, err, openFloor(t, path).Least())
		}
	}
}

func TestAnUnreadableFloorIsNoFloorOfZero(t *testing.T) {
	path := filepath.Join(t.TempDir(), "floor")
	for _, text := range []string{"", "four", "4 5", "4 " + strings.Repeat("a", 64) + " x", "-1"} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := OpenFloor(path); err == nil || !strings.Contains(err.Error(), "put the number of the last good revision there") {
			t.Errorf("%q: error %v", text, err)
		}
	}
}

func TestAFloorThatCannotBeRecordedIsAnError(t *testing.T) {
	floor := openFloor(t, filepath.Join(t.TempDir(), "floor"))
	floor.path = filepath.Join(t.TempDir(), "away", "floor")
	if err := floor.Raise(1, ""); err == nil || floor.Least() != 0 {
		t.Errorf("error %v, least %d", err, floor.Least())
	}
}
