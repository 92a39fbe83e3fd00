package electric

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
)

// Solving does not allocate, whatever the operation.
func TestSolveDoesNotAllocate(t *testing.T) {
	d := newDesktop(smallPlan())
	w := mustCompile(t, d.net).NewWorkspace()
	rails := make([]Element, 0, 3)
	if n := testing.AllocsPerRun(100, func() {
		w.Assume(Excursion, Weak)
		if w.Solve() != nil || w.SolveWarm(stillAir) != nil {
			t.Fatal("the desktop does not solve")
		}
		rails = w.AppendOverloads(rails[:0])
	}); n != 0 {
		t.Errorf("%g allocations a solve, want none", n)
	}
}

// spiceSeconds is the simulator's own reported analysis time for one operating
// point of the workspace's state: its start, reading and printing left out.
func spiceSeconds(b *testing.B, w *Workspace) float64 {
	const points = 2000
	path, dir := findSpice(b), b.TempDir()
	control := fmt.Sprintf("* time\n.control\nsource desktop.cir\nrepeat %d\nop\ndestroy all\nend\nrusage all\nquit\n.endc\n.end\n", points)
	for name, text := range map[string]string{"desktop.cir": spiceDeck(w), "time.cir": control} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			b.Fatal(err)
		}
	}
	cmd := exec.Command(path, "-b", "time.cir")
	cmd.Dir = dir
	out, _ := cmd.CombinedOutput() // its exit status says nothing; the reading does
	found := regexp.MustCompile(`Total analysis time \(seconds\) = ([0-9.eE+-]+)`).FindSubmatch(out)
	if found == nil {
		b.Fatalf("the simulator reported no analysis time:\n%s", out)
	}
	seconds, err := strconv.ParseFloat(string(found[1]), 64)
	if err != nil {
		b.Fatal(err)
	}
	return seconds / points
}

// BenchmarkDesktop solves a desktop of 63 nodes three ways in one run and
// gives the ratios: here, with gonum's dense LU under the same Newton's method,
// and in ngspice by its own reported time.
func BenchmarkDesktop(b *testing.B) {
	d := newDesktop(smallPlan())
	w := mustCompile(b, d.net).NewWorkspace()
	mustSolve(b, w)
	var here, general float64
	perOp := func(b *testing.B) float64 { return b.Elapsed().Seconds() / float64(b.N) }
	b.Run("here", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			w.Assume(Sustained, Nominal)
			if err := w.Solve(); err != nil {
				b.Fatal(err)
			}
		}
		here = perOp(b)
	})
	b.Run("gonum", func(b *testing.B) {
		s := newGeneralSolver(w)
		for b.Loop() {
			if !s.solve() {
				b.Fatal("did not settle")
			}
		}
		general = perOp(b)
		b.ReportMetric(general/here, "times-here")
	})
	b.Run("ngspice", func(b *testing.B) {
		total := 0.0
		for range b.N {
			total += spiceSeconds(b, w)
		}
		spice := total / float64(b.N)
		b.ReportMetric(spice*1e9, "ns/point")
		b.ReportMetric(spice/here, "times-here")
	})
}

// BenchmarkDesktopSetup is what comes once for each build: describing it,
// checking and ordering it, and making the workspace.
func BenchmarkDesktopSetup(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		mustCompile(b, newDesktop(smallPlan()).net).NewWorkspace()
	}
}

// BenchmarkDesktopBounds is the worst case of one contact over all ranges.
func BenchmarkDesktopBounds(b *testing.B) {
	d := newDesktop(smallPlan())
	w := mustCompile(b, d.net).NewWorkspace()
	for b.Loop() {
		if _, err := w.BoundAmps(Sustained, d.cardPlus.Plugs[0]); err != nil {
			b.Fatal(err)
		}
	}
}
