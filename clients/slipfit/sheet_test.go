package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/grpc"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

// The sheet of a build holds what its packs worked out, and the exit code is the
// verdict's.
func TestSheetIsWritten(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.html")
	code, out, errOut := slipfit(t, "", "sheet", "--date", "1 May", builds+"archive-overreach.yaml", "-o", file)
	if code != exitFails || out != "" || errOut != "" {
		t.Fatalf("exit code %d, output %q, errors %q", code, out, errOut)
	}
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"<title>Everything at once, and too much of it: FAIL</title>", "1 May", "To buy", "Order of assembly", "Screws", "Power", "Heat and sound", "Ruleset <code>",
	} {
		if !strings.Contains(string(page), want) {
			t.Errorf("the sheet does not hold %q", want)
		}
	}
}

func TestSheetGoesToStandardOutput(t *testing.T) {
	code, out, errOut := slipfit(t, "", "sheet", builds+"front-desk.yaml", "-o", "-")
	if code != exitFits && code != exitUnknown || !strings.HasPrefix(out, "<!DOCTYPE html>") || errOut != "" {
		t.Errorf("exit code %d, output begins %.40q, errors %q", code, out, errOut)
	}
}

func TestSheetRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"no file to write": {[]string{"sheet", builds + "front-desk.yaml"}, `required flag(s) "output" not set`},
		"no build":         {[]string{"sheet", "nowhere.yaml", "-o", "-"}, "nowhere.yaml cannot be opened"},
		"a bad policy":     {[]string{"sheet", builds + "front-desk.yaml", "-o", "-", "--policy", "x"}, "--policy is NAME=NUMBER"},
		"no such folder":   {[]string{"sheet", builds + "front-desk.yaml", "-o", filepath.Join(t.TempDir(), "none", "x.html")}, "the sheet cannot be written"},
	} {
		code, _, errOut := slipfit(t, "", c.args...)
		if code != exitUsage || !strings.Contains(errOut, c.want) {
			t.Errorf("%s: exit code %d, %q", name, code, errOut)
		}
	}
}

// A service refuses to be asked for facts that none of its packs works out.
func TestOnlyProvidedFactsAreAskedFor(t *testing.T) {
	packs := []*v1.Pack{{Provides: []string{"a.b"}}, {Provides: []string{"c.d", "e.f"}}}
	if got := strings.Join(provided(packs, []string{"e.f", "x.y", "a.b"}), " "); got != "e.f a.b" {
		t.Errorf("asked for %s", got)
	}
}

// A service makes the very page that the command writes.
func TestServiceMakesTheSameSheet(t *testing.T) {
	withService(t, server.Config{Sheet: sheetMaker()}, func(ctx context.Context, conn *grpc.ClientConn) {
		for _, name := range []string{"archive-overreach", "front-desk", "second-radiator"} {
			_, written, _ := slipfit(t, "", "sheet", "--date", "1 May", builds+name+".yaml", "-o", "-")
			entry, err := oneBuild(nil, builds+name+".yaml")
			if err != nil {
				t.Fatal(err)
			}
			day := "1 May"
			made, err := v1.NewSheetServiceClient(conn).MakeSheet(ctx, &v1.MakeSheetRequest{Check: &v1.CheckRequest{Build: entry.Message}, Day: &day})
			if err != nil {
				t.Fatal(err)
			}
			if made.GetHtml() != written || !strings.HasPrefix(written, "<!DOCTYPE html>") {
				t.Errorf("%s: the service's sheet of %d bytes is another than the command's of %d", name, len(made.GetHtml()), len(written))
			}
		}
	})
}
