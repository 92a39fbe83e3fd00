package server_test

import (
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/catalogue"
	"slipfit.example/server/document"
)

func writePart(t *testing.T, dir, file string, ids ...string) {
	t.Helper()
	var text strings.Builder
	for _, id := range ids {
		fmt.Fprintf(&text, "---\nid: %s\nname: Fan %s\nfan: {size_mm: 120}\n", id, id)
	}
	if err := os.WriteFile(filepath.Join(dir, file), []byte(text.String()), 0o600); err != nil {
		t.Fatal(err)
	}
}

// A shortlist draws on the mounted catalogue by kind, in the order of the ids, and
// answers with the parts.
func TestShortlistFromTheCatalogue(t *testing.T) {
	dir := t.TempDir()
	writePart(t, dir, "fans.yaml", "b", "a")
	if err := os.MkdirAll(filepath.Join(dir, "more"), 0o700); err != nil {
		t.Fatal(err)
	}
	lines := `{"id":"c","fan":{"size_mm":140}}` + "\n" + `{"id":"m","memory":{}}` + "\n"
	if err := os.WriteFile(filepath.Join(dir, "more", "others.ndjson"), []byte(lines), 0o600); err != nil {
		t.Fatal(err)
	}
	config := drillConfig()
	config.Catalogue, config.CataloguePeriod = dir, 5*time.Millisecond
	client := v1.NewShortlistServiceClient(connect(t, start(t, config)))
	ask := func() *v1.ShortlistResponse {
		t.Helper()
		answer, err := client.Shortlist(t.Context(), &v1.ShortlistRequest{
			Plan: &v1.ShortlistPlan{Build: plainCheck("mounted").Build, Item: proto.String("rear-fan")},
		})
		if err != nil {
			t.Fatal(err)
		}
		return answer
	}
	answer := ask()
	if len(answer.Fitting) != 3 {
		t.Fatalf("%d fit, want the three fans", len(answer.Fitting))
	}
	for i, id := range []string{"a", "b", "c"} {
		c := answer.Fitting[i]
		if c.GetPlace() != uint64(i) || c.GetId() != id || c.GetPart().GetId() != id || c.Part.GetFan() == nil {
			t.Errorf("at place %d stands %v, want the part %s", i, c, id)
		}
	}
	writePart(t, dir, "late.yaml", "d")
	for deadline := time.Now().Add(patience); len(ask().Fitting) != 4; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("a file that came later is never read")
		}
	}
	// A bad file leaves the last good state.
	writePart(t, dir, "late.yaml", "d", "a")
	time.Sleep(50 * time.Millisecond)
	if n := len(ask().Fitting); n != 4 {
		t.Errorf("with a bad file %d fit, want the 4 of before", n)
	}
}

// A catalogue that is bad at start is told entry by entry.
func TestBadCatalogueIsToldAtStart(t *testing.T) {
	validator, err := document.New()
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ text, want string }{
		"size":     {"id: a\nfan: {size_mm: 1}\n", "bad.yaml:1: the document is not good: fan.size_mm"},
		"no id":    {"fan: {size_mm: 120}\n", "bad.yaml:1: the part has no id"},
		"twice":    {"id: a\nfan: {size_mm: 120}\n---\nid: a\nfan: {size_mm: 92}\n", `the part "a" stands in`},
		"no sense": {"id: [\n", "bad.yaml"},
	} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "bad.yaml"), []byte(c.text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := catalogue.Open(dir, validator, slog.New(slog.DiscardHandler)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want words with %q", name, err, c.want)
		}
	}
	if _, err := catalogue.Open(t.TempDir(), validator, slog.New(slog.DiscardHandler)); err == nil || !strings.Contains(err.Error(), "holds no parts") {
		t.Errorf("an empty folder: %v", err)
	}
	if _, err := server.Start(t.Context(), server.Config{Packs: drillConfig().Packs, Catalogue: filepath.Join(t.TempDir(), "none")}); err == nil {
		t.Error("a service starts with a catalogue that is not there")
	}
}
