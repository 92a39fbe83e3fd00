package electric

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// spiceDeck writes the workspace's present state as a circuit for ngspice.
// Elements without resistance are sources of 0 V, which read their current.
func spiceDeck(w *Workspace) string {
	var b strings.Builder
	n := w.c.net
	b.WriteString("* wiring\n.options reltol=1e-7 abstol=1e-9 vntol=1e-9 itl1=1000 savecurrents\n")
	node := func(k Node) string {
		if k == Return {
			return "0"
		}
		return fmt.Sprintf("n%d", k)
	}
	for i := range n.elements {
		e := &n.elements[i]
		from, to := node(e.a), node(e.b)
		switch {
		case w.c.rigidOf[i] >= 0: // an ideal rail, or a joint of 0 V
			fmt.Fprintf(&b, "v%d %s %s dc %.15g\n", i, from, to, w.emf[i])
		case e.kind == railElement:
			fmt.Fprintf(&b, "v%d %s y%d dc %.15g\nr%d y%d %s %.15g\n", i, from, i, w.emf[i], i, i, to, w.ohms[i])
		case e.load == ConstantCurrent:
			fmt.Fprintf(&b, "i%d %s %s dc %.15g\n", i, from, to, w.ohms[i])
		case e.load == ConstantPower:
			fmt.Fprintf(&b, "b%d %s %s i=%.15g/v(%s,%s)\n", i, from, to, w.ohms[i], from, to)
			// the simulator starts its search from the voltages without load
			for _, k := range [2]Node{e.a, e.b} {
				if k != Return {
					fmt.Fprintf(&b, ".nodeset v(%s)=%.6g\n", node(k), w.idle[k])
				}
			}
		default:
			fmt.Fprintf(&b, "r%d %s %s %.15g\n", i, from, to, w.ohms[i])
		}
	}
	b.WriteString(".end\n")
	return b.String()
}

// spiceAmps is the simulator's reading of an element's current.
func spiceAmps(w *Workspace, spice map[string]float64, i int) (float64, bool) {
	e := &w.c.net.elements[i]
	name := fmt.Sprintf("@r%d[i]", i)
	switch {
	case w.c.rigidOf[i] >= 0 || e.kind == railElement:
		name = fmt.Sprintf("v%d#branch", i)
	case e.load == ConstantPower:
		name = fmt.Sprintf("@b%d[i]", i)
	case e.load == ConstantCurrent:
		name = fmt.Sprintf("@i%d[current]", i)
	}
	amps, found := spice[name]
	return amps, found
}

// findSpice is the simulator's path. Without it the test is skipped on a
// workbench and fails in continuous integration.
func findSpice(t testing.TB) string {
	t.Helper()
	path, err := exec.LookPath("ngspice")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("ngspice is not installed, and this check may not be skipped here")
		}
		t.Skip("ngspice is not installed: the circuit simulator's second opinion is missing")
	}
	return path
}

// runSpice solves all decks in one process and returns one map of readings for
// each: "v(n3)" for voltages, "vm7#branch" for currents.
func runSpice(t testing.TB, decks []string) []map[string]float64 {
	t.Helper()
	path, dir := findSpice(t), t.TempDir()
	var control strings.Builder
	control.WriteString("* all circuits\n.control\nset numdgt=12\n")
	for i, deck := range decks {
		name := fmt.Sprintf("c%d.cir", i)
		if err := os.WriteFile(filepath.Join(dir, name), []byte(deck), 0o600); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&control, "source %s\nop\necho circuit %d\nprint all\ndestroy all\nremcirc\n", name, i)
	}
	control.WriteString("quit\n.endc\n.end\n")
	if err := os.WriteFile(filepath.Join(dir, "all.cir"), []byte(control.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, "-b", "all.cir")
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil && len(out) == 0 {
		t.Fatal(err)
	}
	readings := make([]map[string]float64, len(decks))
	at := -1
	for lines := bufio.NewScanner(bytes.NewReader(out)); lines.Scan(); {
		line := lines.Text()
		if k, found := strings.CutPrefix(line, "circuit "); found {
			at, _ = strconv.Atoi(strings.TrimSpace(k))
			readings[at] = map[string]float64{}
			continue
		}
		name, value, found := strings.Cut(line, " = ")
		if x, err := strconv.ParseFloat(strings.TrimSpace(value), 64); found && err == nil && at >= 0 {
			readings[at][strings.TrimSpace(name)] = x
		}
	}
	return readings
}

// within says that two readings agree to a share of the larger, or to a floor
// far below anything that matters.
func within(a, b, share, floor float64) bool {
	return math.Abs(a-b) <= max(share*max(math.Abs(a), math.Abs(b)), floor)
}

// Every node voltage and every branch current of 240 generated networks agrees
// with the circuit simulator ngspice within
// 0.01 %.
func TestCircuitSimulatorAgrees(t *testing.T) {
	const networks = 240
	var spaces []*Workspace
	var decks []string
	corners := []Corner{Nominal, Weak, Strong}
	for seed := uint64(1); len(spaces) < networks && seed < 2*networks; seed++ {
		w := mustCompile(t, newScatter(newSeeded(seed))).NewWorkspace()
		w.Assume(Sustained, corners[seed%3])
		if w.Solve() != nil {
			continue // a collapse has no reading to compare
		}
		spaces, decks = append(spaces, w), append(decks, spiceDeck(w))
	}
	if len(spaces) < networks {
		t.Fatalf("only %d of %d networks have a solution", len(spaces), networks)
	}
	worst, readings := 0.0, 0
	compare := func(net int, name string, ours, theirs, floor float64) {
		readings++
		if m := max(math.Abs(ours), math.Abs(theirs)); m > floor {
			worst = max(worst, math.Abs(ours-theirs)/m)
		}
		if !within(ours, theirs, 1e-4, floor) {
			t.Errorf("network %d, %s: %.9g here, %.9g in the simulator", net, name, ours, theirs)
		}
	}
	for k, spice := range runSpice(t, decks) {
		w := spaces[k]
		for node := 1; node < w.c.Nodes(); node++ {
			v, found := spice[fmt.Sprintf("n%d", node)]
			if !found {
				v, found = spice[fmt.Sprintf("v(n%d)", node)]
			}
			if !found {
				t.Fatalf("network %d: the simulator gave no voltage for node %d", k, node)
			}
			compare(k, w.c.net.nodes[node], w.Volts(Node(node)), v, 1e-6)
		}
		for i := range w.c.net.elements {
			amps, found := spiceAmps(w, spice, i)
			if !found {
				t.Fatalf("network %d: the simulator gave no current for %q", k, w.c.Name(Element(i)))
			}
			compare(k, w.c.Name(Element(i)), w.amps[i], amps, 1e-6)
		}
	}
	t.Logf("%d networks, %d readings, largest difference %.2g of the reading", networks, readings, worst)
}
