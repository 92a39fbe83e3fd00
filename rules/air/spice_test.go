package air

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"slipfit.example/rules/air/spice"
)

// shape is a fan with a curve of known formula, p0 (1 - a u - (1-a) u^2) with u
// = q/q0. The solver gets readings of it, the circuit simulator the formula.
type shape struct{ flow, pressure, a float64 }

func (s shape) points() []Point {
	const n = 20
	var pts []Point
	for i := 0; i <= n; i++ {
		u := float64(i) / n
		pts = append(pts, Point{u * s.flow, s.pressure * (1 - s.a*u - (1-s.a)*u*u)})
	}
	return pts
}

// randomBox draws an enclosure: zones joined to the room and to each other,
// fans in and out, zones warmer than the room.
func randomBox(rng *rand.Rand) (*Network, []shape) {
	span := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	room, err := Room(rng.Float64()*3000, 15+20*rng.Float64())
	if err != nil {
		panic(err)
	}
	n := &Network{Room: room}
	for i := range 2 + rng.IntN(11) {
		n.Nodes = append(n.Nodes, Node{Name: fmt.Sprintf("zone %d", i), HeightM: .4 * rng.Float64(),
			TemperatureC: room.TemperatureC + 25*rng.Float64(), HasTemperature: true})
	}
	var shapes []shape
	join := func(from, to int, fan bool) {
		b := Branch{Name: fmt.Sprintf("way %d", len(n.Branches)), From: from, To: to,
			FromHeightM: .4 * rng.Float64(), ToHeightM: .4 * rng.Float64(),
			Resistance: Resistance{LinearPaSM3: span(1, 300), QuadraticPaS2M6: span(1e3, 1e6)}}
		sh := shape{}
		if fan {
			sh = shape{span(.006, .05), span(6, 60), rng.Float64()}
			c, err := NewCurve(sh.points())
			if err != nil {
				panic(err)
			}
			b.Fan = &Fan{Curve: c, SpeedRatio: .3 + rng.Float64()}
		}
		n.Branches, shapes = append(n.Branches, b), append(shapes, sh)
	}
	for i := range n.Nodes { // a tree that reaches the room
		join(i, i-1, rng.Float64() < .15)
	}
	for range 2 + rng.IntN(2*len(n.Nodes)) {
		a, b := rng.IntN(len(n.Nodes)), rng.IntN(len(n.Nodes)+1)-1
		if a != b {
			join(a, b, rng.Float64() < .15)
		}
	}
	join(Outside, rng.IntN(len(n.Nodes)), true)
	join(rng.IntN(len(n.Nodes)), Outside, true)
	return n, shapes
}

// deckOf writes a network for the circuit simulator: pascals as volts, grams
// a second as amperes, every way as a voltage that its own current sets.
func deckOf(n *Network, shapes []shape, density, tempC []float64) spice.Deck {
	var net, print strings.Builder
	name := func(node int) string {
		if node == Outside {
			return "0"
		}
		return fmt.Sprintf("n%d", node)
	}
	rhoAt := func(node int) float64 {
		if node == Outside {
			return n.Room.DensityKgM3
		}
		return n.Room.DensityKgM3 * (n.Room.TemperatureC + 273.15) / (n.Nodes[node].TemperatureC + 273.15)
	}
	// Column between a node's height and a mouth.
	column := func(node int, mouth float64) float64 {
		if node == Outside {
			return 0
		}
		return 9.80665 * (n.Room.DensityKgM3 - rhoAt(node)) * (mouth - n.Nodes[node].HeightM)
	}
	for i, b := range n.Branches {
		rho := density[i]
		tk := tempC[i] + 273.15
		mu := 1.458e-6 * math.Pow(tk, 1.5) / (tk + 110.4)
		q := fmt.Sprintf("(i(vm%d)/%.15g)", i, 1e3*rho) // m3/s
		head := b.HeadPa + column(b.From, b.FromHeightM) - column(b.To, b.ToHeightM) +
			9.80665*(n.Room.DensityKgM3-(rhoAt(b.From)+rhoAt(b.To))/2)*(b.ToHeightM-b.FromHeightM)
		e := fmt.Sprintf("%.15g*%s*abs(%s)+%.15g*%s-(%.15g)", b.Resistance.QuadraticPaS2M6*rho/1.2, q, q,
			b.Resistance.LinearPaSM3*mu/standardViscosityPaS, q, head)
		if b.Fan != nil {
			s, sh := b.Fan.SpeedRatio, shapes[i]
			u := fmt.Sprintf("(%s/%.15g)", q, sh.flow*s)
			inside := fmt.Sprintf("(1-%.15g*%s-%.15g*%s*%s)", sh.a, u, 1-sh.a, u, u)
			beyond := fmt.Sprintf("(-%.15g*(%s-1)-(%s-1)*(%s-1))", 2-sh.a, u, u, u)
			against := fmt.Sprintf("(1-%.15g*%s+%s*%s)", sh.a, u, u, u)
			e += fmt.Sprintf("-(%.15g)*(%s<0?%s:(%s>1?%s:%s))", s*s*rho/1.2*sh.pressure, u, against, u, beyond, inside)
		}
		fmt.Fprintf(&net, "vm%d %s x%d 0\nb%d x%d %s v=%s\n", i, name(b.From), i, i, i, name(b.To), e)
		fmt.Fprintf(&print, "print i(vm%d)\n", i)
	}
	for i := range n.Nodes {
		fmt.Fprintf(&print, "print v(n%d)\n", i)
	}
	return spice.Deck{Netlist: net.String(), Commands: "op\n" + print.String()}
}

// settle solves until densities follow the directions of the flows.
func settle(t *testing.T, n *Network) *Solver {
	t.Helper()
	s, _ := solve(t, n)
	c := make([]float64, len(n.Nodes))
	for i := range c {
		c[i] = n.Nodes[i].TemperatureC
	}
	for range 6 {
		if err := s.SetTemperatures(c); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Solve(); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func TestBoxesAgainstCircuitSimulator(t *testing.T) {
	const boxes, enough = 230, 200
	rng := rand.New(rand.NewPCG(7, 2024))
	var decks []spice.Deck
	var solvers []*Solver
	for range boxes {
		n, shapes := randomBox(rng)
		s := settle(t, n)
		density, tempC := make([]float64, len(n.Branches)), make([]float64, len(n.Branches))
		for i := range n.Branches {
			density[i], tempC[i] = s.DensityKgM3(i), s.endTemperature(s.Upstream(i))
		}
		decks, solvers = append(decks, deckOf(n, shapes, density, tempC)), append(solvers, s)
	}
	compared, ways := 0, 0
	worst := 0.0
	for i, r := range spice.Run(t, decks) {
		s := solvers[i]
		if len(r) == 0 {
			continue // the simulator found no operating point
		}
		compared++
		greatest := 0.0
		for b := range s.net.Branches {
			greatest = max(greatest, math.Abs(s.FlowKgS(b)))
		}
		for b := range s.net.Branches {
			ways++
			want, ok := r[fmt.Sprintf("i(vm%d)", b)]
			if !ok {
				t.Fatalf("box %d: the simulator printed no flow of way %d", i, b)
			}
			want /= 1e3
			tol := .005*math.Abs(want) + 2e-4*greatest
			worst = max(worst, math.Abs(s.FlowKgS(b)-want)/tol)
			near(t, fmt.Sprintf("box %d, way %d", i, b), s.FlowKgS(b), want, tol)
		}
	}
	if compared < enough {
		t.Errorf("only %d of %d boxes could be compared, want %d", compared, boxes, enough)
	}
	t.Logf("%d boxes with %d ways agree; greatest deviation %.2f of the tolerance", compared, ways, worst)
}
