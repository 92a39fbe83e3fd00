package heat

import (
	"errors"
	"math"
	"strings"
	"testing"

	"slipfit.example/rules/air"
)

func roomAt(t testing.TB, altitudeM, c float64) air.State {
	t.Helper()
	s, err := air.Room(altitudeM, c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func fanOf(t testing.TB, flow, pressure float64) *air.Fan {
	t.Helper()
	c, err := air.EstimateCurve(flow, pressure)
	if err != nil {
		t.Fatal(err)
	}
	return &air.Fan{Curve: c, SpeedRatio: 1}
}

func square(r float64) air.Resistance { return air.Resistance{QuadraticPaS2M6: r} }

func solve(t testing.TB, m *Model) (*Solver, Report) {
	t.Helper()
	s := NewSolver(Options{})
	if err := s.Load(m); err != nil {
		t.Fatal(err)
	}
	r, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

// through is a box that a fan blows through from one zone to the next.
func through(t testing.TB, room air.State) *air.Network {
	return &air.Network{Room: room,
		Nodes: []air.Node{{Name: "front"}, {Name: "rear"}},
		Branches: []air.Branch{
			{Name: "fan", From: air.Outside, To: 0, Fan: fanOf(t, .03, 25), Resistance: square(5e3)},
			{Name: "sink", From: 0, To: 1, Resistance: square(2e4)},
			{Name: "grille", From: 1, To: air.Outside, Resistance: square(8e3)},
		}}
}

func TestAirCarriesHeatFromPartToPart(t *testing.T) {
	m := &Model{Air: through(t, roomAt(t, 0, 22)),
		Zones:        []Zone{{PowerW: 30}, {PowerW: 20}},
		BranchPowerW: []float64{2, 0, 0},
		Bodies:       []Body{{Name: "chip", PowerW: 100}},
	}
	law := FlowLaw{ConductionKW: .05, CoefficientKW: .02, Exponent: .6}
	m.Sinks = []Sink{{Name: "cooler", Body: m.Body(0), Branch: 1, Law: law}}
	s, r := solve(t, m)
	rate := s.Flows().FlowKgS(0) * m.Air.Room.CpJKgK
	front := 22 + 32/rate
	near(t, "front", s.TemperatureC(m.Zone(0)), front, 2e-3)
	near(t, "rear", s.TemperatureC(m.Zone(1)), 22+152/rate, 2e-3)
	res, err := law.ResistanceKW(s.Flows().FlowM3S(1), rate)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "chip", s.TemperatureC(m.Body(0)), front+100*res, 2e-3)
	if r.Balance.Relative() > 1e-3 || math.Abs(r.Balance.SourcesW-152) > 1e-9 {
		t.Errorf("balance %+v", r.Balance)
	}
	if s.TemperatureC(Room) != 22 {
		t.Error("the room keeps its temperature")
	}
	// Turned round, the chip is no longer warmed by the front and its heat
	// reaches it.
	m.Air.Branches[0].From, m.Air.Branches[0].To = 0, air.Outside
	s, _ = solve(t, m)
	rate = math.Abs(s.Flows().FlowKgS(0)) * m.Air.Room.CpJKgK
	near(t, "rear, fan turned", s.TemperatureC(m.Zone(1)), 22+20/rate, 2e-3)
	near(t, "front, fan turned", s.TemperatureC(m.Zone(0)), 22+150/rate, 2e-3)
}

// Chain of heat by hand: chip to liquid to radiator to air, all temperatures
// above those before, with the radiator's effectiveness by its own formula.
func TestLiquidLoopMatchesChain(t *testing.T) {
	m := &Model{Air: through(t, roomAt(t, 0, 25)), Bodies: []Body{{Name: "chip", PowerW: 150}}}
	m.Loops = []Loop{{Name: "loop", FlowM3S: 1.0 / 60000, Liquid: Water, Stations: []Station{
		{Name: "plate", Body: m.Body(0), PlateKW: .06},
		{Name: "radiator", Branch: 1, UAWK: 30, UAFlowM3S: .03, UAExponent: .5},
	}}}
	s, r := solve(t, m)
	airRate := s.Flows().FlowKgS(1) * m.Air.Room.CpJKgK
	water := 998 * 4182.0 / 60000
	ua := 30 * math.Sqrt(s.Flows().FlowM3S(1)/.03)
	small := min(airRate, water)
	e, err := Effectiveness(CrossUnmixed, ua/small, small/max(airRate, water))
	if err != nil {
		t.Fatal(err)
	}
	hot := 25 + 150/(e*small)
	near(t, "liquid after the plate", s.TemperatureC(m.Liquid(0, 0)), hot, 5e-3)
	near(t, "liquid after the radiator", s.TemperatureC(m.Liquid(0, 1)), hot-150/water, 5e-3)
	near(t, "chip", s.TemperatureC(m.Body(0)), hot-150/water+150*.06, 5e-3)
	if r.Balance.Relative() > 1e-3 {
		t.Errorf("balance %+v", r.Balance)
	}
	if name := m.Name(m.Liquid(0, 1)); name != "loop after radiator" {
		t.Errorf("name %q", name)
	}
}

// A sealed box gives its heat through its walls only; the wall is where PanelC
// puts it.
func TestSealedBoxCoolsThroughPanels(t *testing.T) {
	room := roomAt(t, 0, 25)
	m := &Model{Air: &air.Network{Room: room, Nodes: []air.Node{{Name: "inside"}}}, Zones: []Zone{{PowerW: 30}}}
	m.Panels = []Panel{
		{Name: "side", Inside: 0, AreaM2: .12, LengthM: .3, Facing: Upright, Emissivity: .9, InnerWM2K: 6},
		{Name: "lid", Inside: 0, AreaM2: .06, LengthM: .06, Facing: Up, Emissivity: .9, InnerWM2K: 6},
	}
	s, r := solve(t, m)
	sum := 0.0
	for i, p := range m.Panels {
		c, q, err := PanelC(p.Facing, p.LengthM, p.Emissivity, p.InnerWM2K, s.TemperatureC(0), room)
		if err != nil {
			t.Fatal(err)
		}
		near(t, p.Name, s.TemperatureC(m.Panel(i)), c, .01)
		sum += q * p.AreaM2
	}
	near(t, "heat through the panels", sum, 30, .02)
	if r.Balance.ExhaustW != 0 || r.Balance.Relative() > 1e-3 {
		t.Errorf("balance %+v", r.Balance)
	}
	near(t, "balance", r.Balance.SurfacesW, 30, .03)
}

// Two holes, heat, and no fan: the draught that the heat itself drives. With m
// cp dT = P and dp = (1/rho_o + 1/rho_i) m^2/(2 (Cd A)^2), m follows from a
// fixed point in plain arithmetic.
func TestDraughtByWarmthAlone(t *testing.T) {
	const area, cd, height, power = .008, .65, .35, 60.0
	room := roomAt(t, 0, 20)
	hole, err := air.FromK(1/(cd*cd), area)
	if err != nil {
		t.Fatal(err)
	}
	m := &Model{Zones: []Zone{{PowerW: power}},
		Air: &air.Network{Room: room, Nodes: []air.Node{{Name: "inside"}},
			Branches: []air.Branch{
				{Name: "low", From: air.Outside, To: 0, Resistance: hole},
				{Name: "high", From: 0, To: air.Outside, Resistance: hole, FromHeightM: height, ToHeightM: height},
			}}}
	s, r := solve(t, m)
	flow := 1e-3
	for range 500 {
		inside, err := room.WithTemperature(20 + power/(flow*room.CpJKgK))
		if err != nil {
			t.Fatal(err)
		}
		head := air.BuoyancyPa(height, room.DensityKgM3, inside.DensityKgM3)
		flow += .3 * (cd*area*math.Sqrt(2*head/(1/room.DensityKgM3+1/inside.DensityKgM3)) - flow)
	}
	near(t, "mass flow", s.Flows().FlowKgS(0), flow, 1e-4*flow)
	near(t, "rise", s.TemperatureC(0)-20, power/(flow*room.CpJKgK), .01)
	if r.Rounds > 40 {
		t.Errorf("took %d rounds", r.Rounds)
	}
}

func TestSinkAtRestFallsBackOnStillAir(t *testing.T) {
	n := through(t, roomAt(t, 0, 25))
	n.Branches[0].Closed = true // the fan's opening is taped over: nothing moves
	m := &Model{Air: n, Bodies: []Body{{Name: "chip", PowerW: 5}}}
	m.Sinks = []Sink{{Name: "cooler", Body: m.Body(0), Branch: 1, Law: FlowLaw{0, .02, .6}}}
	m.Conductors = []Conductor{{Name: "air", A: m.Zone(0), B: m.Zone(1), ResistanceKW: 1}, {Name: "wall", A: m.Zone(1), B: Room, ResistanceKW: 2}}
	s := NewSolver(Options{})
	if err := s.Load(m); err != nil {
		t.Fatal(err)
	}
	_, err := s.Solve()
	if err == nil || !strings.Contains(err.Error(), `the heat of "chip" has no way to the room`) {
		t.Fatalf("got %v", err)
	}
	m.Sinks[0].AtRestKW = 4
	s, r := solve(t, m)
	// Half of the sink's 4 K/W leads to each zone. All 5 W reach the rear and
	// leave by wall and still grille, .5 + .1 W/K; x W take the way round the
	// front, 1 + .1 W/K: x (1/1.1 + 8 + 8) = 40.
	x := 40 / (1/1.1 + 16)
	near(t, "rise of the chip", s.TemperatureC(m.Body(0))-25, 5/.6+(5-x)*8, .01)
	if r.Balance.Relative() > 1e-3 {
		t.Errorf("balance %+v", r.Balance)
	}
}

func TestSinkWithItsOwnFanInAZone(t *testing.T) {
	m := &Model{Air: through(t, roomAt(t, 0, 25)), Bodies: []Body{{Name: "chip", PowerW: 65}}}
	law := FlowLaw{ConductionKW: .1, CoefficientKW: .02, Exponent: .6}
	m.Sinks = []Sink{{Name: "cooler", Body: m.Body(0), Branch: NoBranch, InZone: m.Zone(1), FlowM3S: .01, Law: law}}
	s, _ := solve(t, m)
	rate := s.Flows().FlowKgS(0) * m.Air.Room.CpJKgK
	rear := 25 + 65/rate
	near(t, "rear", s.TemperatureC(m.Zone(1)), rear, 5e-3)
	r, err := law.ResistanceKW(.01, 11)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "chip", s.TemperatureC(m.Body(0)), rear+65*r, 5e-3)
}

// One kilowatt twice over, at 8000 m and in the heat and cold that the room
// may have: finite, balanced, and marked when far too hot.
func TestExtremes(t *testing.T) {
	for _, row := range []struct {
		name           string
		altitude, room float64
		power          float64
		flow, pressure float64
		beyond         bool
	}{
		{"8000 m", 8000, 20, 300, .03, 25, false},
		{"frost", 0, -40, 300, .03, 25, false},
		{"desert", 0, 60, 100, .03, 25, false},
		{"2 kW, strong fan", 0, 25, 2000, .2, 200, false},
		{"2 kW, whisper of a fan", 0, 25, 2000, .002, 1, true},
	} {
		m := &Model{Air: through(t, roomAt(t, row.altitude, row.room)), Bodies: []Body{{Name: "chip", PowerW: row.power}}}
		m.Air.Branches[0].Fan = fanOf(t, row.flow, row.pressure)
		m.Sinks = []Sink{{Name: "cooler", Body: m.Body(0), Branch: 1, Law: FlowLaw{.005, .002, .6}}}
		m.Panels = []Panel{{Name: "side", Inside: 1, AreaM2: .1, LengthM: .3, Emissivity: .9, InnerWM2K: 5}}
		s, r := solve(t, m)
		if r.Beyond != row.beyond {
			t.Errorf("%s: beyond the properties of air: %v, chip at %g degC", row.name, r.Beyond, s.TemperatureC(m.Body(0)))
		}
		if r.Balance.Relative() > 1e-3 {
			t.Errorf("%s: balance %+v", row.name, r.Balance)
		}
	}
}

func TestDeadZoneTakesTheRoomsTemperature(t *testing.T) {
	m := &Model{Air: &air.Network{Room: roomAt(t, 0, 23), Nodes: []air.Node{{Name: "void"}, {Name: "other"}}}, Bodies: []Body{{Name: "spare"}}}
	m.Conductors = []Conductor{{Name: "touch", A: m.Zone(0), B: m.Body(0), ResistanceKW: 1}}
	s, _ := solve(t, m)
	for r := Ref(0); r < 3; r++ {
		near(t, m.Name(r), s.TemperatureC(r), 23, 1e-9)
	}
}

func TestModelRefusals(t *testing.T) {
	nan := math.NaN()
	base := func() *Model {
		m := &Model{Air: through(t, roomAt(t, 0, 25)), Bodies: []Body{{Name: "chip", PowerW: 5}}}
		m.Sinks = []Sink{{Name: "cooler", Body: m.Body(0), Branch: 1, Law: FlowLaw{0, .02, .6}}}
		m.Panels = []Panel{{Name: "side", Inside: 0, AreaM2: .1, LengthM: .3, Emissivity: .9, InnerWM2K: 6}}
		m.Conductors = []Conductor{{Name: "pad", A: m.Body(0), B: m.Panel(0), ResistanceKW: 1}}
		m.Loops = []Loop{{Name: "loop", FlowM3S: 1e-5, Liquid: Water, Stations: []Station{
			{Name: "plate", Body: m.Body(0), PlateKW: .1}, {Name: "radiator", Branch: 2, UAWK: 20, UAFlowM3S: .02}}}}
		return m
	}
	if err := base().Check(); err != nil {
		t.Fatal(err)
	}
	for name, row := range map[string]struct {
		change func(*Model)
		want   string
	}{
		"air":        {func(m *Model) { m.Air = nil }, "has no flow network"},
		"zones":      {func(m *Model) { m.Zones = make([]Zone, 1) }, "describes 1 of 2 zones"},
		"ways":       {func(m *Model) { m.BranchPowerW = make([]float64, 1) }, "gives heat for 1 of 3 ways"},
		"size":       {func(m *Model) { m.Bodies = make([]Body, 600) }, "merge bodies or zones"},
		"cp":         {func(m *Model) { m.Air.Room.CpJKgK = 0 }, "specific heat"},
		"pressure":   {func(m *Model) { m.Air.Room.PressurePa = nan }, "pressure of the room's air is not a number"},
		"room":       {func(m *Model) { m.Air.Room.TemperatureC = nan }, "temperature of the room's air is not a number"},
		"zone power": {func(m *Model) { m.Zones = []Zone{{PowerW: nan}, {}} }, `zone "front" of the heat model: heat set free is not a number`},
		"way power":  {func(m *Model) { m.BranchPowerW = []float64{-1, 0, 0} }, `way "fan" of the heat model`},
		"body":       {func(m *Model) { m.Bodies[0].CapacityJK = nan }, `body "chip" of the heat model: heat capacity is not a number`},
		"conductor":  {func(m *Model) { m.Conductors[0].ResistanceKW = 0 }, `conductor "pad" of the heat model: thermal resistance of 0`},
		"loose end":  {func(m *Model) { m.Conductors[0].A = 99 }, "points at number 99 but there are 6 temperatures"},
		"other end":  {func(m *Model) { m.Conductors[0].B = -5 }, "points at number -5"},
		"itself":     {func(m *Model) { m.Conductors[0].A = m.Conductors[0].B }, "joins a thing to itself"},
		"sink body":  {func(m *Model) { m.Sinks[0].Body = Room }, `sink "cooler" of the heat model: it points at number -1`},
		"sink law":   {func(m *Model) { m.Sinks[0].Law.Exponent = nan }, "flow exponent of the sink is not a number"},
		"sink rest":  {func(m *Model) { m.Sinks[0].AtRestKW = -1 }, "resistance of the sink at rest"},
		"sink way":   {func(m *Model) { m.Sinks[0].Branch = 9 }, "stands in way number 9 but there are 3 ways"},
		"sink share": {func(m *Model) { m.Sinks[0].Share = 2 }, "share of the flow"},
		"sink zone":  {func(m *Model) { m.Sinks[0].Branch, m.Sinks[0].InZone = NoBranch, m.Body(0) }, `stands in "chip", which is no zone`},
		"own flow":   {func(m *Model) { m.Sinks[0].Branch, m.Sinks[0].FlowM3S = NoBranch, nan }, "flow of the sink's own fan is not a number"},
		"panel in":   {func(m *Model) { m.Panels[0].Inside = Room }, `panel "side" of the heat model: it points at`},
		"panel area": {func(m *Model) { m.Panels[0].AreaM2 = 0 }, "area of the panel"},
		"panel eps":  {func(m *Model) { m.Panels[0].Emissivity = 2 }, "emissivity"},
		"panel h":    {func(m *Model) { m.Panels[0].InnerWM2K = 0 }, "coefficient at the inside"},
		"panel L":    {func(m *Model) { m.Panels[0].LengthM = 0 }, "length of the panel"},
		"panel C":    {func(m *Model) { m.Panels[0].CapacityJK = -1 }, "heat capacity"},
		"loop":       {func(m *Model) { m.Loops[0].Stations = m.Loops[0].Stations[:1] }, `loop "loop" of the heat model: it has 1 stations`},
		"pump":       {func(m *Model) { m.Loops[0].FlowM3S = nan }, "flow of the pump is not a number"},
		"liquid":     {func(m *Model) { m.Loops[0].Liquid.DensityKgM3 = 0 }, "density of the liquid"},
		"liquid cp":  {func(m *Model) { m.Loops[0].Liquid.CpJKgK = nan }, "specific heat of the liquid"},
		"vessel":     {func(m *Model) { m.Loops[0].CapacityJK = nan }, "heat capacity is not a number"},
		"plate":      {func(m *Model) { m.Loops[0].Stations[0].PlateKW = -1 }, `station "plate": resistance of the cold plate`},
		"plate body": {func(m *Model) { m.Loops[0].Stations[0].Body = 77 }, "points at number 77"},
		"rad way":    {func(m *Model) { m.Loops[0].Stations[1].Branch = -1 }, "stands in way number -1"},
		"rad UA":     {func(m *Model) { m.Loops[0].Stations[1].UAWK = nan }, "conductance of the radiator is not a number"},
		"rad flow":   {func(m *Model) { m.Loops[0].Stations[1].UAFlowM3S = 0 }, "flow that the radiator's conductance holds for"},
		"rad n":      {func(m *Model) { m.Loops[0].Stations[1].UAExponent = 2 }, "flow exponent of the radiator"},
		"rad kind":   {func(m *Model) { m.Loops[0].Stations[1].Arrangement = 9 }, "unknown arrangement 9"},
		"twice":      {func(m *Model) { m.Loops[0].Stations[1].Branch = 1 }, `the sinks in way "sink" use 200 percent of its air`},
		"flows":      {func(m *Model) { m.Air.Branches[0].To = 9 }, "it ends at zone number 9"},
	} {
		m := base()
		row.change(m)
		s := NewSolver(Options{})
		err := s.Load(m)
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want a sentence with %q", name, err, row.want)
		}
		if _, err := s.Solve(); err == nil {
			t.Errorf("%s: a model that was refused was solved", name)
		}
	}
	if _, err := NewSolver(Options{}).Solve(); err == nil {
		t.Error("nothing loaded: want an error")
	}
}

func TestBoundOnRoundsIsTold(t *testing.T) {
	m := &Model{Air: through(t, roomAt(t, 0, 25)), Zones: []Zone{{PowerW: 50}, {PowerW: 50}}}
	s := NewSolver(Options{MostRounds: 1})
	if err := s.Load(m); err != nil {
		t.Fatal(err)
	}
	_, err := s.Solve()
	var e *ConvergenceError
	if !errors.As(err, &e) || e.Name != "front" || !strings.HasPrefix(err.Error(), `the heat model did not settle in 1 rounds: "front" still moved by`) {
		t.Fatalf("got %v", err)
	}
	s = NewSolver(Options{Air: air.Options{MostIterations: 1}})
	if err := s.Load(m); err != nil {
		t.Fatal(err)
	}
	var flow *air.ConvergenceError
	if _, err := s.Solve(); !errors.As(err, &flow) {
		t.Fatalf("got %v", err)
	}
}
