package clearance

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
)

// requireSolver skips without MiniZinc on a developer's machine and fails where CI
// is set.
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

// batch is several problems as one model: one variable says which of them is
// solved, and all others stand still, so that one run of the solver lists the
// arrangements of all.
type batch struct {
	lo, hi, pa, pb, need, first, last []int64 // boxes, pairs of boxes, and cells of pairs
	inner, innerNeed, innerKind       []int64 // boxes held against the enclosure's walls, by room
	innerRoom                         []int64
	rooms                             []int64
	text                              strings.Builder
	problems                          int
}

// large stands for a margin that limits nothing, in um.
const large = 1_000_000_000

// Kinds of what a box has to do with the walls.
const (
	keepsOff    = 1 // its distance counts
	staysInside = 2 // only sticking out counts
	cardInside  = 3 // its distance counts, but to the rear only sticking out
)

func (b *batch) box(p *geometry.Piece) int64 {
	for k := range 3 {
		b.lo, b.hi = append(b.lo, um(p.Box.Min()[k])), append(b.hi, um(p.Box.Max()[k]))
	}
	return int64(len(b.lo) / 3)
}

// add writes a problem. It takes boxes, choices, resources and what two pieces have
// to keep from the scene, and none of the tables of the search.
func (b *batch) add(s *scene, p *arrange.Problem, room [3]int64) {
	b.problems++
	k := b.problems
	b.rooms = append(b.rooms, room[:]...)
	type numbered struct {
		body  arrange.Body
		index int64
	}
	bodies := make([][][]numbered, len(p.Variables))
	var margins []string
	for v := range p.Variables {
		src := &p.Variables[v]
		bodies[v] = make([][]numbered, len(src.Options))
		var single []int64
		for o := range src.Options {
			option := &src.Options[o]
			for i := range option.Solids {
				for j := range option.Solids[i].Pieces {
					piece := &option.Solids[i].Pieces[j]
					bodies[v][o] = append(bodies[v][o], numbered{arrange.Body{Variable: src.Name, Option: option.Name, Solid: option.Solids[i].Name, Piece: piece}, b.box(piece)})
				}
			}
		}
		for o := range src.Options {
			limit := int64(large)
			for _, l := range src.Options[o].Limits {
				limit = min(limit, um(l.Margin))
			}
			from, walls := len(b.pa), int64(len(b.inner))
			for i, a := range bodies[v][o] {
				b.hold(s, a.body, a.index)
				for _, c := range bodies[v][o][:i] {
					if a.body.Solid != c.body.Solid {
						b.pair(p, a.body, c.body, a.index, c.index)
					}
				}
			}
			single = append(single, b.cell(from), limit, walls+1, int64(len(b.inner)))
		}
		b.variable(k, v, src, p)
		margins = append(margins, fmt.Sprintf("unary(%s, x_%d_%d)", list(single), k, v))
		for u := range v {
			var cells []int64
			for o := range p.Variables[u].Options {
				for q := range src.Options {
					from := len(b.pa)
					for _, a := range bodies[u][o] {
						for _, c := range bodies[v][q] {
							b.pair(p, a.body, c.body, a.index, c.index)
						}
					}
					cells = append(cells, b.cell(from))
				}
			}
			margins = append(margins, fmt.Sprintf("both(%s, x_%d_%d, %d, x_%d_%d, %d)", list(cells), k, u, len(p.Variables[u].Options), k, v, len(src.Options)))
		}
	}
	fmt.Fprintf(&b.text, "var int: m_%d = min([%s]);\nconstraint k = %d -> m_%d >= 0;\n", k, strings.Join(margins, ", "), k, k)
	// A number of its own for every arrangement: the solver drops solutions that print
	// the same.
	code := "0"
	for v := range p.Variables {
		code = fmt.Sprintf("(%s) * %d + x_%d_%d", code, len(p.Variables[v].Options)+1, k, v)
	}
	fmt.Fprintf(&b.text, "var int: c_%d = %s;\n", k, code)
	b.resources(k, p)
	b.twins(k, p)
}

// hold notes what a box has to do with the walls.
func (b *batch) hold(s *scene, body arrange.Body, index int64) {
	t := s.of[body.Piece]
	kind, need := int64(keepsOff), 0.0
	switch {
	case !body.Piece.Purpose.Excludes(geometry.PurposeSolid):
		return
	case t.frame && body.Piece.Purpose == geometry.PurposeSolid:
		kind = staysInside
	case body.Piece.Purpose == geometry.PurposePlug:
		need = s.keep.plug
	case t.card:
		kind = cardInside
	}
	if t.card && body.Piece.Purpose == geometry.PurposePlug {
		kind = cardInside
	}
	b.inner, b.innerNeed, b.innerKind = append(b.inner, index), append(b.innerNeed, um(need)), append(b.innerKind, kind)
	b.innerRoom = append(b.innerRoom, int64(b.problems))
}

func (b *batch) pair(p *arrange.Problem, a, c arrange.Body, i, j int64) {
	if need, ok := p.Required(&a, &c); ok {
		b.pa, b.pb, b.need = append(b.pa, i), append(b.pb, j), append(b.need, um(need))
	}
}

// cell is the number of the pairs since one, 0 for none.
func (b *batch) cell(from int) int64 {
	if from == len(b.pa) {
		return 0
	}
	b.first, b.last = append(b.first, int64(from+1)), append(b.last, int64(len(b.pa)))
	return int64(len(b.first))
}

func list(v []int64) string {
	return "[" + strings.Trim(strings.ReplaceAll(fmt.Sprint(v), " ", ","), "[]") + "]"
}

// variable writes a decision: 0 where its problem is not the one that is solved, or
// its conditions do not hold.
func (b *batch) variable(k, v int, src *arrange.Variable, p *arrange.Problem) {
	on := fmt.Sprintf("k = %d", k)
	for _, c := range src.When {
		u := slices.IndexFunc(p.Variables, func(o arrange.Variable) bool { return o.Name == c.Variable })
		var open []string
		for _, name := range c.Options {
			open = append(open, strconv.Itoa(1+slices.IndexFunc(p.Variables[u].Options, func(o arrange.Option) bool { return o.Name == name })))
		}
		on += fmt.Sprintf(" /\\ x_%d_%d in {%s}", k, u, strings.Join(open, ","))
	}
	fmt.Fprintf(&b.text, "var 0..%d: x_%d_%d;\nconstraint (x_%d_%d > 0) <-> (%s);\n", len(src.Options), k, v, k, v, on)
}

func (b *batch) resources(k int, p *arrange.Problem) {
	for _, r := range p.Resources {
		if r.Buyable {
			continue
		}
		var uses []string
		for v := range p.Variables {
			for o := range p.Variables[v].Options {
				for _, amount := range p.Variables[v].Options[o].Uses {
					if amount.Resource == r.Name {
						uses = append(uses, fmt.Sprintf("%d*(x_%d_%d = %d)", amount.Count, k, v, o+1))
					}
				}
			}
		}
		if len(uses) > 0 {
			fmt.Fprintf(&b.text, "constraint %s <= %d;\n", strings.Join(uses, " + "), r.Stock)
		}
	}
}

// twins lets equal pieces take their options in the order of names.
func (b *batch) twins(k int, p *arrange.Problem) {
	for v := range p.Variables {
		for u := range v {
			a, c := &p.Variables[u], &p.Variables[v]
			if a.Interchangeable == "" || a.Interchangeable != c.Interchangeable {
				continue
			}
			if !slices.IsSortedFunc(a.Options, func(o, q arrange.Option) int { return strings.Compare(o.Name, q.Name) }) {
				panic("options are not in the order of their names")
			}
			fmt.Fprintf(&b.text, "constraint x_%d_%d <= x_%d_%d;\n", k, u, k, v)
		}
	}
}

// preamble works out the margins from the boxes.
const preamble = `
int: large = 1000000000;
function int: gap(int: a, int: b) = max(d in 1..3)(max(lo[3*a-3+d] - hi[3*b-3+d], lo[3*b-3+d] - hi[3*a-3+d]));
array[int] of int: cell = [min([gap(pa[p], pb[p]) - need[p] | p in first[c]..last[c]]) | c in index_set(first)];
function int: cell_of(int: c) = if c = 0 then large else cell[c] endif;
function int: if_out(int: g) = if g < -1 then g else large endif;
function int: wall(int: i) = let {
  int: b = inner[i]; int: r = inner_room[i]; int: n = inner_need[i]; int: rear = lo[3*b-2] - n;
  int: rest = min([room[3*r-2] - hi[3*b-2], lo[3*b-1], room[3*r-1] - hi[3*b-1], lo[3*b], room[3*r] - hi[3*b]]) - n;
} in if inner_kind[i] = 1 then min(rear, rest) elseif inner_kind[i] = 2 then if_out(min(rear, rest)) else min(if_out(rear), rest) endif;
function var int: unary(array[int] of int: q, var int: x) = let {
  array[int] of int: t = [large] ++ [min([cell_of(q[4*o-3]), q[4*o-2]] ++ [wall(i) | i in q[4*o-1]..q[4*o]]) | o in 1..length(q) div 4];
} in t[x + 1];
function var int: both(array[int] of int: c, var int: x, int: m, var int: y, int: n) = let {
  array[int] of int: t = [if a = 0 \/ b = 0 then large else cell_of(c[(a-1)*n+b]) endif | a in 0..m, b in 0..n];
} in t[x * (n + 1) + y + 1];
`

// model is the whole of it.
func (b *batch) model() []byte {
	var out bytes.Buffer
	for _, a := range []struct {
		name string
		v    []int64
	}{
		{"lo", b.lo}, {"hi", b.hi}, {"pa", b.pa}, {"pb", b.pb}, {"need", b.need}, {"first", b.first}, {"last", b.last},
		{"inner", b.inner}, {"inner_need", b.innerNeed}, {"inner_kind", b.innerKind}, {"inner_room", b.innerRoom}, {"room", b.rooms},
	} {
		fmt.Fprintf(&out, "array[int] of int: %s = %s;\n", a.name, list(a.v))
	}
	fmt.Fprintf(&out, "%s\nvar 1..%d: k;\n%s", preamble, b.problems, b.text.String())
	var margins, codes []string
	for k := range b.problems {
		margins, codes = append(margins, fmt.Sprintf("m_%d", k+1)), append(codes, fmt.Sprintf("c_%d", k+1))
	}
	fmt.Fprintf(&out, "array[int] of var int: m = [%s];\nvar int: margin = m[k];\narray[int] of var int: c = [%s];\nvar int: code = c[k];\n"+
		"solve satisfy;\noutput [\"\\(k) \\(margin) \\(code)\\n\"];\n", strings.Join(margins, ","), strings.Join(codes, ","))
	return out.Bytes()
}

// solverAnswer is what the solver finds for one problem.
type solverAnswer struct {
	count int
	best  int64 // um
}

// solverTimes are the solver's own: reading the model and working out the margins
// from the boxes, and solving.
type solverTimes struct{ flattening, solving time.Duration }

// read takes a line of statistics.
func (s *solverTimes) read(line string) error {
	for prefix, to := range map[string]*time.Duration{"%%%mzn-stat: flatTime=": &s.flattening, "%%%mzn-stat: solveTime=": &s.solving} {
		if text, ok := strings.CutPrefix(line, prefix); ok {
			seconds, err := strconv.ParseFloat(text, 64)
			if err != nil {
				return err
			}
			*to = time.Duration(seconds * float64(time.Second))
		}
	}
	return nil
}

// ask lets Gecode list all arrangements of a batch.
func (b *batch) ask(file string) (answers []solverAnswer, times solverTimes, err error) {
	if err := os.WriteFile(file, b.model(), 0o600); err != nil {
		return nil, times, err
	}
	cmd := exec.Command("minizinc", "--solver", "org.gecode.gecode", "--all-solutions", "--statistics", file)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, times, fmt.Errorf("the constraint solver failed: %w\n%s", err, stderr.String())
	}
	answers = make([]solverAnswer, b.problems)
	complete := false
	for line := range strings.Lines(string(out)) {
		line = strings.TrimSpace(line)
		var k int
		var margin int64
		switch {
		case line == "==========", line == "=====UNSATISFIABLE=====":
			complete = true
		case times.read(line) != nil:
			return nil, times, times.read(line)
		case line == "" || line == "----------" || strings.HasPrefix(line, "%"):
		default:
			if _, err := fmt.Sscan(line, &k, &margin); err != nil || k < 1 || k > len(answers) {
				return nil, times, fmt.Errorf("the solver prints %q: %v", line, err)
			}
			a := &answers[k-1]
			if a.count == 0 || margin > a.best {
				a.best = margin
			}
			a.count++
		}
	}
	if !complete {
		return nil, times, fmt.Errorf("the solver did not finish:\n%.2000s", out)
	}
	return answers, times, nil
}

// Three hundred generated enclosures and builds, as the pack turns them into boxes
// and choices, against MiniZinc with Gecode: how many arrangements fit, whether any
// does, and the best margin to the micrometre.
func TestPackAgainstConstraintSolver(t *testing.T) {
	requireSolver(t)
	const batches, each = 2, 150
	var compared, fits, solving atomic.Int64
	var wg sync.WaitGroup
	for n := range batches {
		r := rand.New(rand.NewPCG(17, uint64(n)))
		b, problems := new(batch), make([]*arrange.Problem, each)
		for i := range problems {
			d, s, p := drawProblem(t, r)
			problems[i] = p
			b.add(s, p, d.room)
		}
		file := filepath.Join(t.TempDir(), fmt.Sprintf("batch-%d.mzn", n))
		wg.Go(func() {
			answers, took, err := b.ask(file)
			if err != nil {
				t.Error(err)
				return
			}
			solving.Add(int64(took.solving))
			for i, want := range answers {
				got, err := arrange.Solve(context.Background(), problems[i], arrange.Question{Count: true})
				if err != nil {
					t.Error(err)
					return
				}
				compared.Add(1)
				if int(got.Feasible) != want.count || !got.FeasibleExact {
					t.Errorf("batch %d, enclosure %d: %d arrangements fit, %d by the solver", n, i, got.Feasible, want.count)
					continue
				}
				if want.count == 0 {
					continue
				}
				fits.Add(1)
				if margin := min(um(got.Ranked[0].Margin), large); margin != want.best {
					t.Errorf("batch %d, enclosure %d: best margin %d um, %d um by the solver", n, i, margin, want.best)
				}
			}
		})
	}
	wg.Wait()
	if n := fits.Load(); !t.Failed() && (compared.Load() != batches*each || n < batches*each/6 || n > batches*each*5/6) {
		t.Errorf("%d of %d enclosures have an arrangement: the sample is lopsided", n, compared.Load())
	}
	t.Logf("%d enclosures, %d with an arrangement; the solver solved for %v", compared.Load(), fits.Load(), time.Duration(solving.Load()))
}

// BenchmarkAgainstConstraintSolver lets both find all arrangements of the same
// generated enclosures. The search begins with the boxes and measures their gaps; the
// solver's time is told for solving alone, when all gaps are worked out, and with
// that.
func BenchmarkAgainstConstraintSolver(b *testing.B) {
	requireSolver(b)
	r := rand.New(rand.NewPCG(17, 0))
	model, problems := new(batch), make([]*arrange.Problem, 100)
	for i := range problems {
		d, s, p := drawProblem(b, r)
		problems[i] = p
		model.add(s, p, d.room)
	}
	_, took, err := model.ask(filepath.Join(b.TempDir(), "batch.mzn"))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		for _, p := range problems {
			if _, err := arrange.Solve(context.Background(), p, arrange.Question{Count: true}); err != nil {
				b.Fatal(err)
			}
		}
	}
	own := float64(b.Elapsed().Nanoseconds()) / float64(b.N)
	b.ReportMetric(float64(took.solving.Nanoseconds())/own, "times-its-solving")
	b.ReportMetric(float64((took.solving+took.flattening).Nanoseconds())/own, "times-with-gaps")
}
