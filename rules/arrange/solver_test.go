package arrange

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// solverAnswer is what the constraint solver finds for one plan.
type solverAnswer struct {
	count  int
	best   leaf
	solved time.Duration
}

// requireSolver skips without MiniZinc on a developer's machine and fails where CI is set.
func requireSolver(t testing.TB) {
	t.Helper()
	if _, err := exec.LookPath("minizinc"); err == nil {
		return
	} else if os.Getenv("CI") != "" {
		t.Fatalf("minizinc is missing, install the package of that name: %v", err)
	} else {
		t.Skipf("minizinc is missing: %v", err)
	}
}

// askSolver lets Gecode list every solution of a plan.
func askSolver(dir string, n int, p *plan) (solverAnswer, error) {
	data := filepath.Join(dir, fmt.Sprintf("plan%d.dzn", n))
	if err := os.WriteFile(data, p.solverData(), 0o600); err != nil {
		return solverAnswer{}, err
	}
	cmd := exec.Command("minizinc", "--solver", "org.gecode.gecode", "--all-solutions", "--statistics", filepath.Join("testdata", "enclosure.mzn"), data)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return solverAnswer{}, fmt.Errorf("the constraint solver failed: %w\n%s", err, stderr.String())
	}
	return readSolver(out)
}

func readSolver(out []byte) (solverAnswer, error) {
	var a solverAnswer
	complete := false
	lines := bufio.NewScanner(bytes.NewReader(out))
	for lines.Scan() {
		line := lines.Text()
		switch {
		case line == "==========" || line == "=====UNSATISFIABLE=====":
			complete = true
		case strings.HasPrefix(line, "%%%mzn-stat: solveTime="):
			s, err := strconv.ParseFloat(strings.TrimPrefix(line, "%%%mzn-stat: solveTime="), 64)
			if err != nil {
				return a, err
			}
			a.solved = time.Duration(s * float64(time.Second))
		case line == "----------" || strings.HasPrefix(line, "%") || line == "":
		default:
			var l leaf
			if _, err := fmt.Sscan(line, &l.margin, &l.pieces, &l.cost); err != nil {
				return a, fmt.Errorf("the solver prints %q: %w", line, err)
			}
			if a.count == 0 || l.margin > a.best.margin || (l.margin == a.best.margin && l.pieces < a.best.pieces) {
				a.best = l
			}
			a.count++
		}
	}
	if !complete {
		return a, fmt.Errorf("the solver did not finish:\n%s", out)
	}
	return a, lines.Err()
}

// solverData writes a plan as data of testdata/enclosure.mzn.
func (p *plan) solverData() []byte {
	vars := slices.Clone(p.vars)
	slices.SortFunc(vars, func(a, b planVar) int {
		return cmp.Or(cmp.Compare(len(a.when), len(b.when)), strings.Compare(a.name, b.name))
	})
	number := map[Choice]int{}
	index := map[string]int{}
	var opts []planOption
	sets, pinned := make([][]int, len(vars)), make([][]int, len(vars))
	var w writer
	for i, v := range vars {
		index[v.name] = i + 1
		options := slices.Clone(v.options)
		slices.SortFunc(options, func(a, b planOption) int { return strings.Compare(a.name, b.name) })
		for _, o := range options {
			opts = append(opts, o)
			number[Choice{v.name, o.name}] = len(opts)
			sets[i] = append(sets[i], len(opts))
			if !slices.ContainsFunc(p.pins, func(c Choice) bool { return c.Variable == v.name && c.Option != o.name }) {
				pinned[i] = append(pinned[i], len(opts))
			}
		}
	}
	w.int("V", len(vars))
	w.int("T", len(opts))
	w.sets("options", sets)
	w.sets("pinned", pinned)
	w.boxes(p, opts)
	var need, net, limit, stock, buyable, price []int
	for i := range p.need {
		need = append(need, p.need[i][:]...)
	}
	for _, o := range opts {
		l := 1_000_000
		if o.limited {
			l = o.limit
		}
		limit, net = append(limit, l), append(net, o.net...)
	}
	for _, r := range p.resources {
		b := 0
		if r.Buyable {
			b = 1
		}
		stock, buyable, price = append(stock, r.Stock), append(buyable, b), append(price, int(r.Price))
	}
	w.ints("need", "1..4, 1..4", need)
	w.ints("limit", "1..T", limit)
	w.int("R", len(p.resources))
	w.ints("net", "1..T, 1..R", net)
	w.ints("stock", "1..R", stock)
	w.ints("price", "1..R", price)
	fmt.Fprintf(&w, "buyable = [b = 1 | b in %s];\n", list(buyable))
	var child, parent, twin []int
	var allowed [][]int
	for i, v := range vars {
		for _, c := range v.when {
			child, parent = append(child, i+1), append(parent, index[c.Variable])
			var set []int
			for _, o := range c.Options {
				set = append(set, number[Choice{c.Variable, o}])
			}
			allowed = append(allowed, set)
		}
		for j := i + 1; j < len(vars); j++ {
			if v.key != "" && v.key == vars[j].key {
				twin = append(twin, i+1, j+1)
			}
		}
	}
	w.int("C", len(child))
	w.ints("child", "1..C", child)
	w.ints("parent", "1..C", parent)
	w.sets("allowed", allowed)
	w.int("E", len(twin)/2)
	w.ints("twin", "1..E, 1..2", twin)
	return w.Bytes()
}

// writer writes MiniZinc data.
type writer struct{ bytes.Buffer }

func list(v []int) string {
	return "[" + strings.Trim(strings.ReplaceAll(fmt.Sprint(v), " ", ","), "[]") + "]"
}

func (w *writer) int(name string, v int) { fmt.Fprintf(w, "%s = %d;\n", name, v) }

func (w *writer) ints(name, shape string, v []int) {
	fmt.Fprintf(w, "%s = array%dd(%s, %s);\n", name, 1+strings.Count(shape, ","), shape, list(v))
}

func (w *writer) sets(name string, v [][]int) {
	var s []string
	for _, set := range v {
		s = append(s, "{"+strings.Trim(list(set), "[]")+"}")
	}
	fmt.Fprintf(w, "%s = [%s];\n", name, strings.Join(s, ", "))
}

func (w *writer) boxes(p *plan, opts []planOption) {
	var owner, kind, lo, hi []int
	add := func(o, k int, b block) {
		owner, kind, lo, hi = append(owner, o), append(kind, k+1), append(lo, b.lo[:]...), append(hi, b.hi[:]...)
	}
	for _, b := range p.fixed {
		add(0, 0, b)
	}
	for i, o := range opts {
		for _, b := range o.blocks {
			add(i+1, o.kind, b)
		}
	}
	w.int("B", len(owner))
	w.ints("owner", "1..B", owner)
	w.ints("kind", "1..B", kind)
	w.ints("lo", "1..B, 1..3", lo)
	w.ints("hi", "1..B, 1..3", hi)
}

// Three hundred generated enclosures against MiniZinc with Gecode: feasible or not, number of arrangements, best margin
// in tenths of a millimetre, and the fewest pieces to buy at that margin. Two solver processes run at a time.
func TestAgainstConstraintSolver(t *testing.T) {
	requireSolver(t)
	const plans = 300
	r := rand.New(rand.NewPCG(5, 6))
	all := make([]*plan, plans)
	for i := range all {
		// The solver lists every arrangement: very large spaces would only take its time.
		for tried := 1 << 30; tried > 4000; _, tried = all[i].enumerate() {
			all[i] = randomPlan(r, i%3 > 0)
		}
	}
	answers, errs := make([]solverAnswer, plans), make([]error, plans)
	dir := t.TempDir()
	var wg sync.WaitGroup
	for worker := range 2 {
		wg.Go(func() {
			for i := worker; i < plans; i += 2 {
				answers[i], errs[i] = askSolver(dir, i, all[i])
			}
		})
	}
	wg.Wait()
	feasible := 0
	for i, p := range all {
		if errs[i] != nil {
			t.Fatalf("plan %d: %v", i, errs[i])
		}
		want := answers[i]
		a := solve(t, p.problem(t), Question{Count: true})
		if !a.Exhaustive || !a.FeasibleExact || int(a.Feasible) != want.count {
			t.Fatalf("plan %d: %d feasible arrangements, the solver finds %d", i, a.Feasible, want.count)
		}
		if want.count == 0 {
			if len(a.Ranked) > 0 || len(a.Conflict) == 0 {
				t.Fatalf("plan %d is infeasible, the answer is %+v", i, a)
			}
			continue
		}
		feasible++
		got := a.Ranked[0]
		if tenthsOf(got.Margin) != want.best.margin || got.Pieces != want.best.pieces {
			t.Fatalf("plan %d: margin %v mm with %d pieces, the solver finds %v tenths with %d", i, got.Margin, got.Pieces, want.best.margin, want.best.pieces)
		}
	}
	if feasible < plans/5 || feasible > plans*4/5 {
		t.Fatalf("%d of %d plans are feasible: the sample is lopsided", feasible, plans)
	}
}
