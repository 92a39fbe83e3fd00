// Package spice runs the circuit simulator ngspice, so that tests can compare
// flow, heat and supply networks with a general-purpose program: pressure,
// temperature or voltage as node voltage, flow, heat or current as current.
package spice

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Deck is one circuit and what to do with it.
type Deck struct {
	// Netlist is the circuit without title, control section and .end.
	Netlist string
	// Commands are the lines of the control language that run the analysis and
	// print its results as "name = value".
	Commands string
}

// Result is the printed values of one deck by name, in lower case. It is empty
// when the simulator found no solution.
type Result map[string]float64

var (
	printed = regexp.MustCompile(`^\s*([^=]*[^=\s])\s*=\s*([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?)(?:\s.*)?$`)
	marker  = regexp.MustCompile(`^begin-of-deck (\d+)$`)
)

// tight asks for more digits than the defaults give.
const tight = ".options reltol=1e-7 abstol=1e-10 vntol=1e-9 gmin=1e-14 itl1=2000 itl2=2000\n"

// Run solves all decks in one process of ngspice and returns one Result for
// each. Without ngspice the test is skipped, unless the environment variable
// CI is set, which makes it fail.
func Run(t testing.TB, decks []Deck) []Result {
	t.Helper()
	tool, err := exec.LookPath("ngspice")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("ngspice is missing; install the package ngspice, the comparison must not be left out here")
		}
		t.Skip("ngspice is missing; install the package ngspice to compare with it")
	}
	dir := t.TempDir()
	var script strings.Builder
	script.WriteString("* all decks in one process\nv1 1 0 1\nr1 1 0 1\n.control\nset numdgt=10\nset noaskquit\nset nomoremode\n")
	for i, d := range decks {
		path := filepath.Join(dir, fmt.Sprintf("deck%d.cir", i))
		text := fmt.Sprintf("* deck %d\n%s%s.end\n", i, tight, d.Netlist)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&script, "source %s\necho begin-of-deck %d\n%sremcirc\n", path, i, d.Commands)
	}
	script.WriteString("echo begin-of-deck 999999\nquit\n.endc\n.end\n")
	main := filepath.Join(dir, "all.cir")
	if err := os.WriteFile(main, []byte(script.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	var stdout, stderr bytes.Buffer
	cmd := exec.Command(tool, "-b", main)
	cmd.Dir, cmd.Stdout, cmd.Stderr = dir, &stdout, &stderr
	runErr := cmd.Run()
	results, complete := parse(stdout.String(), len(decks))
	if !complete {
		t.Fatalf("ngspice ended early: %v\n%s\n%s", runErr, tail(stdout.String()), tail(stderr.String()))
	}
	return results
}

// parse sorts the printed values by deck; complete tells whether the end of
// the script was reached.
func parse(out string, n int) (results []Result, complete bool) {
	results = make([]Result, n)
	for i := range results {
		results[i] = Result{}
	}
	at := -1
	for line := range strings.Lines(out) {
		line = strings.TrimSpace(line)
		if m := marker.FindStringSubmatch(line); m != nil {
			at, _ = strconv.Atoi(m[1])
			continue
		}
		m := printed.FindStringSubmatch(line)
		if m == nil || at < 0 || at >= n {
			continue
		}
		if v, err := strconv.ParseFloat(m[2], 64); err == nil {
			results[at][strings.ToLower(m[1])] = v
		}
	}
	return results, at == 999999
}

func tail(s string) string {
	const keep = 2000
	if len(s) > keep {
		return "... " + s[len(s)-keep:]
	}
	return s
}
