package main

import (
	"encoding/xml"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const runs = "../demo/runs/"

// The archive's three runs: two fit the forecast, the third stopped too early; a check
// takes the calibration along.
func TestFitTheArchivesRuns(t *testing.T) {
	file := filepath.Join(t.TempDir(), "fit.yaml")
	code, out, errOut := slipfit(t, "", "fit", builds+"archive-editor.yaml", runs+"archive-editor.yaml", "-o", file)
	if code != exitFits || !strings.Contains(errOut, "ten-minutes: After 10 minutes the machine was still warming up") {
		t.Fatalf("exit code %d, errors %q", code, errOut)
	}
	for _, want := range []string{"die of processor", "sound of machine", "editing-two-hours", "the runs settle", "It holds between"} {
		if !strings.Contains(out, want) {
			t.Errorf("the answer does not say %q:\n%s", want, out)
		}
	}
	if strings.Contains(out, "ten-minutes") {
		t.Error("a run that was left out is compared")
	}
	c, err := readCalibration(file)
	if err != nil || len(c.Coefficients) == 0 || len(c.Runs) != 2 || c.GetResidualK() > 3 {
		t.Fatalf("%v: %v", err, c)
	}
	die := func(args ...string) string {
		_, out, _ := slipfit(t, "", append(args, builds+"archive-editor.yaml")...)
		for line := range strings.Lines(out) {
			if strings.Contains(line, "Granit 16 comes to") {
				return line
			}
		}
		t.Fatalf("no line about the processor in\n%s", out)
		return ""
	}
	if plain, fitted := die("check"), die("check", "--calibration", file); plain == fitted {
		t.Errorf("the calibration changes nothing: %s", plain)
	}
}

func TestForecastCommand(t *testing.T) {
	chart := filepath.Join(t.TempDir(), "chart.svg")
	code, out, errOut := slipfit(t, "", "forecast", builds+"archive-editor.yaml", "--chart", chart)
	if code != exitFits || errOut != "" {
		t.Fatalf("exit code %d, errors %q", code, errOut)
	}
	for _, want := range []string{"die of processor", "through the enclosure", "meter with the room", "Quietest speeds", "Turn rear-fan round", "steady within 1 K"} {
		if !strings.Contains(out, want) {
			t.Errorf("the answer does not say %q:\n%s", want, out)
		}
	}
	drawn, err := os.ReadFile(chart)
	if err != nil {
		t.Fatal(err)
	}
	if err := xml.Unmarshal(drawn, new(struct{ XMLName xml.Name })); err != nil {
		t.Errorf("the chart is not well-formed: %v", err)
	}
	code, _, errOut = slipfit(t, "", "forecast", builds+"archive-draft.yaml")
	if code != exitUnknown || !strings.Contains(errOut, "Not all heat is known") {
		t.Errorf("a draft: exit code %d, errors %q", code, errOut)
	}
}

func TestFitRefuses(t *testing.T) {
	bad := filepath.Join(t.TempDir(), "bad.yaml")
	if err := os.WriteFile(bad, []byte("room_temperature_c: 900\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	cold := filepath.Join(t.TempDir(), "cold.yaml")
	if err := os.WriteFile(cold, []byte("{id: cold, room_temperature_c: 22, duration_min: 90, temperatures: [{item: processor, of: die, temperature_c: 4}]}\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"fit", builds + "archive-editor.yaml", "nowhere.yaml"}, exitUsage, "nowhere.yaml cannot be opened"},
		{[]string{"fit", builds + "archive-editor.yaml", bad}, exitUsage, "bad.yaml, run 1"},
		{[]string{"fit", builds + "archive-editor.yaml", cold}, exitUnknown, "nothing in it cools below the room"},
		{[]string{"fit", builds + "archive-draft.yaml", runs + "archive-editor.yaml"}, exitUnknown, "not all heat of the build is known"},
		{[]string{"fit", builds + "archive-editor.yaml"}, exitUsage, "requires at least 2 arg"},
		{[]string{"check", "--calibration", "nowhere.yaml", builds + "archive-editor.yaml"}, exitUsage, "nowhere.yaml cannot be opened"},
	} {
		code, _, errOut := slipfit(t, "", c.args...)
		if code != c.code || !strings.Contains(errOut, c.want) {
			t.Errorf("%v: exit code %d, errors %q; want %d and %q", c.args, code, errOut, c.code, c.want)
		}
	}
}
