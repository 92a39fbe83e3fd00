package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// keep writes a file for a test.
func keep(t testing.TB, name, text string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// The demo's catalogue holds nothing that is wrong.
func TestTheDemosCatalogueIsInOrder(t *testing.T) {
	files, err := filepath.Glob("../demo/parts/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no parts: %v", err)
	}
	code, out, errOut := slipfit(t, "", append([]string{"audit", "--format", "ndjson"}, files...)...)
	if code != exitFits && code != exitUnknown || errOut != "" {
		t.Errorf("exit code %d, errors %q", code, errOut)
	}
	n := 0
	for line := range strings.Lines(out) {
		var e struct{ File, Verdict string }
		if err := json.Unmarshal([]byte(line), &e); err != nil {
			t.Fatal(err)
		}
		if e.Verdict == "FAIL" {
			t.Errorf("wrong: %s", line)
		}
		n++
	}
	if n < 80 {
		t.Errorf("only %d entries", n)
	}
}

func TestAuditOfATableSuggestsWhatWasMeant(t *testing.T) {
	columns := keep(t, "columns.yaml", "kind: air_cooler\ncolumns: [{column: Name, field: name}, {column: H, field: air_cooler.height_mm}]\n")
	code, out, errOut := slipfit(t, "Name;H;Farbe\nDohle;15,8\n", "audit", "-", "--map", columns)
	if code != exitFails || !strings.Contains(out, "Set air_cooler.height_mm to 158 mm") || !strings.Contains(errOut, `the map does not take the column "Farbe"`) {
		t.Errorf("exit code %d\n%s\n%s", code, out, errOut)
	}
}

func TestBadAuditsSayWhatToDo(t *testing.T) {
	columns := keep(t, "columns.yaml", "kind: fan\ncolumns: [{column: Size, field: fan.size_mm}]\n")
	for name, c := range map[string]struct {
		args []string
		code int
		want string
	}{
		"no file":      {[]string{"audit", "none.ndjson"}, exitUsage, "none.ndjson cannot be opened"},
		"no map":       {[]string{"audit", "-", "--map", "none.yaml"}, exitUsage, "none.yaml cannot be opened"},
		"format":       {[]string{"audit", "-", "--format", "xml"}, exitUsage, `--format is text, ndjson, csv, junit, sarif, not "xml"`},
		"other column": {[]string{"audit", "-", "--map", columns}, exitUsage, `the column "Size" is missing`},
	} {
		t.Run(name, func(t *testing.T) {
			if code, _, errOut := slipfit(t, "A;B\n1;2\n", c.args...); code != c.code || !strings.Contains(errOut, c.want) {
				t.Errorf("exit code %d, errors %q", code, errOut)
			}
		})
	}
}
