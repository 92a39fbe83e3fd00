package air

import (
	"math"
	"testing"
)

// standardRoom is the air that curves and resistances refer to, so that
// networks given in plain Pa/(m3/s)^2 keep their figures.
var standardRoom = State{PressurePa: StandardPressurePa, TemperatureC: 20,
	DensityKgM3: FanStandardDensityKgM3, CpJKgK: 1006, ViscosityPaS: standardViscosityPaS, ConductivityWMK: 0.0257}

func square(r float64) Resistance { return Resistance{QuadraticPaS2M6: r} }

func solve(t *testing.T, n *Network) (*Solver, Report) {
	t.Helper()
	s := NewSolver(Options{})
	if err := s.Load(n); err != nil {
		t.Fatal(err)
	}
	r, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

func estimate(t *testing.T, flow, pressure float64) *Curve {
	t.Helper()
	c, err := EstimateCurve(flow, pressure)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// bridge is a mine air network: 47 m3/s enter at A and leave at D
// (the room), textbook example of the Hardy Cross method, R in kg/m7.
func bridge() *Network {
	return &Network{Room: standardRoom,
		Nodes: []Node{{Name: "A", InflowM3S: 47}, {Name: "B"}, {Name: "C"}},
		Branches: []Branch{
			{Name: "A-B", From: 0, To: 1, Resistance: square(.4)},
			{Name: "A-C", From: 0, To: 2, Resistance: square(.6)},
			{Name: "B-C", From: 1, To: 2, Resistance: square(.1)},
			{Name: "B-D", From: 1, To: Outside, Resistance: square(.5)},
			{Name: "C-D", From: 2, To: Outside, Resistance: square(.7)},
		}}
}

func TestBridgeOfMineAir(t *testing.T) {
	s, r := solve(t, bridge())
	// Three engines agree: own Newton, a circuit simulator, a water network
	// program.
	for i, want := range []float64{25.873633, 21.126367, 0.401218, 25.472415, 21.527585} {
		near(t, "flow of "+s.net.Branches[i].Name, s.FlowM3S(i), want, 2e-6)
	}
	for i, want := range []float64{592.1999, 324.4220, 324.4059} {
		near(t, "pressure of "+s.net.Nodes[i].Name, s.PressurePa(i), want, 1e-4)
	}
	if r.Iterations > 8 {
		t.Errorf("took %d Newton steps, expected 8 at most: %+v", r.Iterations, r)
	}
}

// The first correction of the Hardy Cross method for the two loops of the
// bridge, as printed: -4.167 and -1.504 m3/s.
func TestFirstLoopCorrectionsOfTheBridge(t *testing.T) {
	correction := func(terms ...[2]float64) float64 {
		sum, slope := 0.0, 0.0
		for _, rq := range terms {
			r, q := rq[0], rq[1]
			drop := square(r).DropPa(q)
			sum += drop
			slope += 2 * math.Abs(drop/q)
		}
		return -sum / slope
	}
	near(t, "loop A-B-C", correction([2]float64{.4, 30}, [2]float64{.1, 3}, [2]float64{.6, -17}), -4.167, 0.001)
	near(t, "loop B-D-C", correction([2]float64{.5, 27}, [2]float64{.7, -20}, [2]float64{.1, -3}), -1.504, 0.001)
}

// ladder is the air duct problem of a numerical methods textbook (Chapra and
// Canale): 1 m3/s into a, drop 16/pi^2 f L rho/(2 D^5) Q^2.
func TestLadderOfDucts(t *testing.T) {
	duct := func(length float64) Resistance {
		return square(16 / (math.Pi * math.Pi) * 0.005 * length * 1.23 / (2 * math.Pow(0.5, 5)))
	}
	room := standardRoom // R is in plain figures: keep the standard density
	n := &Network{Room: room,
		Nodes: []Node{{Name: "a", InflowM3S: 1}, {Name: "b"}, {Name: "c"}, {Name: "x"}, {Name: "y"}},
		Branches: []Branch{
			{Name: "2", From: 0, To: Outside, Resistance: duct(4)},
			{Name: "3", From: 0, To: 1, Resistance: duct(2)},
			{Name: "4", From: 1, To: 4, Resistance: duct(4)},
			{Name: "5", From: 1, To: 2, Resistance: duct(2)},
			{Name: "6", From: 2, To: 3, Resistance: duct(4)},
			{Name: "7", From: 2, To: 3, Resistance: duct(8)},
			{Name: "8", From: 3, To: 4, Resistance: duct(2)},
			{Name: "9", From: 4, To: Outside, Resistance: duct(2)},
		}}
	s, _ := solve(t, n)
	for i, want := range map[int]float64{0: .531610, 1: .468390, 2: .251436, 3: .216953, 4: .127088, 5: .089865} {
		near(t, "flow of duct "+n.Branches[i].Name, s.FlowM3S(i), want, 2e-6)
	}
	near(t, "pressure of a", s.PressurePa(0), .180327, 2e-6)
}

// fanBox is two fans and three vents, with air drawn in through vent 3. Given
// in l/s and Pa; solved by ngspice 39 to nine digits.
func fanBox(t *testing.T) *Network {
	const perLS2 = 1e6
	a := estimate(t, math.Sqrt(50/.060)*M3SPerLS, 50)
	b := estimate(t, math.Sqrt(35/.040)*M3SPerLS, 35)
	return &Network{Room: standardRoom,
		Nodes: []Node{{Name: "n1"}, {Name: "n2"}},
		Branches: []Branch{
			{Name: "fan A", From: Outside, To: 0, Fan: &Fan{Curve: a, SpeedRatio: 1}},
			{Name: "fan B", From: 1, To: Outside, Fan: &Fan{Curve: b, SpeedRatio: 1}},
			{Name: "sink", From: 0, To: 1, Resistance: square(.020 * perLS2)},
			{Name: "vent 2", From: 0, To: Outside, Resistance: square(.050 * perLS2)},
			{Name: "vent 3", From: 1, To: Outside, Resistance: square(.080 * perLS2)},
		}}
}

func TestFanBoxAgainstCircuitSimulator(t *testing.T) {
	s, _ := solve(t, fanBox(t))
	for i, want := range []float64{27.91995572, 27.53217804, 19.88432958, 8.035626135, -7.64784846} {
		near(t, "flow of "+s.net.Branches[i].Name, s.FlowM3S(i)/M3SPerLS, want, 1e-6*math.Abs(want))
	}
	near(t, "pressure of n1", s.PressurePa(0), 3.228564369, 4e-6)
	near(t, "pressure of n2", s.PressurePa(1), -4.67916689, 5e-6)
	if s.Upstream(4) != Outside || s.Upstream(3) != 0 {
		t.Errorf("vent 3 must draw from the room and vent 2 from n1: %d %d", s.Upstream(4), s.Upstream(3))
	}
}

// Closed forms for dp = p0 - c Q^2 against R Q^2, with p0 50 Pa, c .06 and R
// .02 Pa/(l/s)^2: one fan, two side by side, two in line.
func TestTwoEqualFans(t *testing.T) {
	const p0, c, r = 50.0, .06e6, .02e6
	f := func() *Fan { return &Fan{Curve: estimate(t, math.Sqrt(p0/c), p0), SpeedRatio: 1} }
	system := Branch{Name: "system", From: 0, To: Outside, Resistance: square(r)}
	for _, row := range []struct {
		name  string
		nodes int
		fans  []Branch
		want  float64
	}{
		{"one", 1, []Branch{{Name: "fan", From: Outside, To: 0, Fan: f()}}, 25.0},
		{"parallel", 1, []Branch{{Name: "fan", From: Outside, To: 0, Fan: f()}, {Name: "fan 2", From: Outside, To: 0, Fan: f()}}, 37.7964},
		{"series", 2, []Branch{{Name: "fan", From: Outside, To: 1, Fan: f()}, {Name: "fan 2", From: 1, To: 0, Fan: f()}}, 26.7261},
	} {
		n := &Network{Room: standardRoom, Nodes: make([]Node, row.nodes), Branches: append(row.fans, system)}
		s, _ := solve(t, n)
		near(t, row.name, s.FlowM3S(len(n.Branches)-1)/M3SPerLS, row.want, 1e-3)
	}
}

func TestStackOfWarmAirMatchesClosedForm(t *testing.T) {
	// Two equal holes 0.4 m apart, warm air inside: the head of the column
	// drives both in line, Q = Cd A sqrt(2 g h (Ti-To)/Ti / 2) at the density
	// of each side; own algebra with Q in mass.
	const h, area, cd, outC, inC = 0.4, 0.01, 0.65, 25.0, 40.0
	room := mustAt(t, StandardPressurePa, outC)
	k, err := KFromDischarge(cd)
	if err != nil {
		t.Fatal(err)
	}
	hole, err := FromK(k, area)
	if err != nil {
		t.Fatal(err)
	}
	n := &Network{Room: room,
		Nodes: []Node{{Name: "inside", HeightM: 0.17, TemperatureC: inC, HasTemperature: true}},
		Branches: []Branch{
			{Name: "low", From: Outside, To: 0, Resistance: hole},
			{Name: "high", From: 0, To: Outside, Resistance: hole, FromHeightM: h, ToHeightM: h},
		}}
	s, _ := solve(t, n)
	in := mustAt(t, StandardPressurePa, inC)
	head := BuoyancyPa(h, room.DensityKgM3, in.DensityKgM3)
	m := cd * area * math.Sqrt(2*head/(1/room.DensityKgM3+1/in.DensityKgM3))
	near(t, "mass flow of the stack", s.FlowKgS(0), m, 1e-5*m)
	near(t, "balance", s.FlowKgS(0)-s.FlowKgS(1), 0, 1e-12)
	// Cold inside turns the draught round.
	if err := s.SetTemperatures([]float64{10}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Solve(); err != nil {
		t.Fatal(err)
	}
	if s.FlowKgS(0) >= 0 {
		t.Errorf("air colder than the room must sink out of the low hole, flow %g", s.FlowKgS(0))
	}
}

func TestChimneyCarriesItsOwnColumn(t *testing.T) {
	// A fire, and a chimney of 2 m with a zone of its own: the column of hot air
	// drives. A sloping duct straight to the room counts as half warm.
	room := mustAt(t, StandardPressurePa, 20)
	hot := mustAt(t, StandardPressurePa, 100)
	fire := Node{Name: "fire", TemperatureC: 100, HasTemperature: true}
	hole := Branch{Name: "hole", From: Outside, To: 0, Resistance: square(1)}
	chimney := &Network{Room: room,
		Nodes: []Node{fire, {Name: "chimney", HeightM: 1, TemperatureC: 100, HasTemperature: true}},
		Branches: []Branch{hole, {Name: "foot", From: 0, To: 1, Resistance: square(1)},
			{Name: "top", From: 1, To: Outside, Resistance: square(1000), FromHeightM: 2, ToHeightM: 2}}}
	duct := &Network{Room: room, Nodes: []Node{fire},
		Branches: []Branch{hole, {Name: "duct", From: 0, To: Outside, Resistance: square(1000), ToHeightM: 2}}}
	// All loss is in the top: head = R rho/1.2 (m/rho)^2.
	head := BuoyancyPa(2, room.DensityKgM3, hot.DensityKgM3)
	want := math.Sqrt(head / (1000 / (1.2 * hot.DensityKgM3)))
	s, _ := solve(t, chimney)
	near(t, "chimney", s.FlowKgS(2), want, 0.002*want)
	s, _ = solve(t, duct)
	near(t, "duct", s.FlowKgS(1), want*math.Sqrt(.5), 0.002*want)
}
