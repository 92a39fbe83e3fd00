package electric

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// generalSolver solves the same network by modified nodal analysis: every
// node's voltage and every rail's and joint's current unknown, nothing merged,
// nothing ordered, gonum's dense LU with partial pivoting under Newton's
// method.
type generalSolver struct {
	w       *Workspace // for the element values only
	nodes   int
	sources []int // elements with a current of their own
	base, a *mat.Dense
	rhs, x  *mat.VecDense
	next    *mat.VecDense
	lu      mat.LU
}

func newGeneralSolver(w *Workspace) *generalSolver {
	s := &generalSolver{w: w, nodes: w.c.Nodes() - 1}
	for i := range w.c.net.elements {
		if w.c.net.elements[i].kind == railElement || w.c.rigidOf[i] >= 0 {
			s.sources = append(s.sources, i)
		}
	}
	n := s.nodes + len(s.sources)
	s.base, s.a = mat.NewDense(n, n, nil), mat.NewDense(n, n, nil)
	s.rhs, s.x, s.next = mat.NewVecDense(n, nil), mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	return s
}

func add(m *mat.Dense, i, j int, x float64) {
	if i >= 0 && j >= 0 {
		m.Set(i, j, m.At(i, j)+x)
	}
}

func conduct(m *mat.Dense, a, b int, g float64) {
	add(m, a, a, g)
	add(m, b, b, g)
	add(m, a, b, -g)
	add(m, b, a, -g)
}

func (s *generalSolver) inject(node int, amps float64) {
	if node >= 0 {
		s.rhs.SetVec(node, s.rhs.AtVec(node)+amps)
	}
}

func (s *generalSolver) volts(node int) float64 {
	if node < 0 {
		return 0
	}
	return s.x.AtVec(node)
}

// prepare stamps what stays straight.
func (s *generalSolver) prepare() {
	s.base.Zero()
	for i := range s.w.c.net.elements {
		e := &s.w.c.net.elements[i]
		if e.kind != railElement && s.w.c.rigidOf[i] < 0 && (e.kind != loadElement || e.load == Resistance) {
			conduct(s.base, int(e.a)-1, int(e.b)-1, 1/s.w.ohms[i])
		}
	}
	for k, i := range s.sources {
		e, row := &s.w.c.net.elements[i], s.nodes+k
		a, b := int(e.a)-1, int(e.b)-1
		add(s.base, row, a, 1)
		add(s.base, row, b, -1)
		add(s.base, a, row, 1)
		add(s.base, b, row, -1)
		if s.w.c.rigidOf[i] < 0 {
			add(s.base, row, row, -s.w.ohms[i])
		}
	}
}

// solve is Newton's method from the voltages without load, in as many steps
// as it takes; it reports whether it settled.
func (s *generalSolver) solve() bool {
	s.prepare()
	before := 0.0
	for step := range 40 {
		s.a.Copy(s.base)
		s.rhs.Zero()
		for k, i := range s.sources {
			s.rhs.SetVec(s.nodes+k, s.w.emf[i])
		}
		for i := range s.w.c.net.elements {
			e := &s.w.c.net.elements[i]
			if step == 0 || e.kind != loadElement || e.load == Resistance {
				continue
			}
			a, b := int(e.a)-1, int(e.b)-1
			amps := s.w.ohms[i]
			if e.load == ConstantPower {
				v := s.volts(a) - s.volts(b)
				g := -s.w.ohms[i] / (v * v)
				conduct(s.a, a, b, g)
				amps = s.w.ohms[i]/v - g*v
			}
			s.inject(a, -amps)
			s.inject(b, amps)
		}
		s.lu.Factorize(s.a)
		if s.lu.SolveVecTo(s.next, false, s.rhs) != nil {
			return false
		}
		change := 0.0
		for i := range s.nodes {
			change = max(change, math.Abs(s.next.AtVec(i)-s.x.AtVec(i)))
		}
		s.x, s.next = s.next, s.x
		if change == 0 {
			return true
		}
		if step > 1 && change*(change/before)*(change/before) <= settledShare*s.w.scale {
			return true
		}
		before = change
	}
	return false
}

// The general solver, which merges and orders nothing, finds the same voltages
// and the same currents through rails and joints.
func TestGeneralSolverAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := solved(t)
		s := newGeneralSolver(w)
		if !s.solve() {
			t.Fatal("the general solver did not settle on a network that has a solution")
		}
		for node := range s.nodes {
			if !within(s.x.AtVec(node), w.Volts(Node(node+1)), 1e-8, 1e-8) {
				t.Fatalf("node %q stands at %.12g V, the general solver says %.12g V",
					w.c.net.nodes[node+1], w.Volts(Node(node+1)), s.x.AtVec(node))
			}
		}
		for k, i := range s.sources {
			if amps := s.x.AtVec(s.nodes + k); !within(amps, w.amps[i], 1e-7, 1e-6) {
				t.Fatalf("%q carries %.12g A, the general solver says %.12g A", w.c.Name(Element(i)), w.amps[i], amps)
			}
		}
	})
}
