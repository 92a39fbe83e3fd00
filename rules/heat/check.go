package heat

import (
	"fmt"

	"slipfit.example/rules/air"
)

// mostUnknowns bounds a model: elimination is dense.
const mostUnknowns = 512

// Check returns the first thing in the model that cannot be solved, as a
// sentence that names it. The flow network is checked by its own Check.
func (m *Model) Check() error {
	if m.Air == nil {
		return fmt.Errorf("the heat model has no flow network; give one, if only with the room's air")
	}
	if n := m.size(); n > mostUnknowns {
		return fmt.Errorf("the heat model has %d temperatures but may have %d; merge bodies or zones", n, mostUnknowns)
	}
	if n := len(m.Zones); n != 0 && n != len(m.Air.Nodes) {
		return fmt.Errorf("the heat model describes %d of %d zones; describe all or none", n, len(m.Air.Nodes))
	}
	if n := len(m.BranchPowerW); n != 0 && n != len(m.Air.Branches) {
		return fmt.Errorf("the heat model gives heat for %d of %d ways; give it for all or none", n, len(m.Air.Branches))
	}
	if err := m.checkRoom(); err != nil {
		return err
	}
	if err := m.checkSources(); err != nil {
		return err
	}
	return m.checkLinks()
}

// checkRoom asks for all that advection and panels need of the room's air.
func (m *Model) checkRoom() error {
	r := m.Air.Room
	if err := air.CheckRange("specific heat of the room's air", r.CpJKgK, 500, 2000, "J/(kg K)"); err != nil {
		return err
	}
	if err := air.CheckRange("pressure of the room's air", r.PressurePa, air.LowestPressurePa, air.HighestPressurePa, "Pa"); err != nil {
		return err
	}
	return air.CheckRange("temperature of the room's air", r.TemperatureC, air.LowestTemperatureC, air.HighestTemperatureC, "degC")
}

func checkSource(power, capacity float64) error {
	if err := air.CheckRange("heat set free", power, 0, 1e6, "W"); err != nil {
		return err
	}
	return air.CheckRange("heat capacity", capacity, 0, 1e9, "J/K")
}

func (m *Model) checkSources() error {
	for i, z := range m.Zones {
		if err := checkSource(z.PowerW, z.CapacityJK); err != nil {
			return fmt.Errorf("zone %q of the heat model: %w", m.Air.Nodes[i].Name, err)
		}
	}
	for i, p := range m.BranchPowerW {
		if err := checkSource(p, 0); err != nil {
			return fmt.Errorf("way %q of the heat model: %w", m.Air.Branches[i].Name, err)
		}
	}
	for _, b := range m.Bodies {
		if err := checkSource(b.PowerW, b.CapacityJK); err != nil {
			return fmt.Errorf("body %q of the heat model: %w", b.Name, err)
		}
	}
	return nil
}

func (m *Model) checkLinks() error {
	for i := range m.Conductors {
		c := &m.Conductors[i]
		if err := m.checkConductor(c); err != nil {
			return fmt.Errorf("conductor %q of the heat model: %w", c.Name, err)
		}
	}
	for i := range m.Sinks {
		s := &m.Sinks[i]
		if err := m.checkSink(s); err != nil {
			return fmt.Errorf("sink %q of the heat model: %w", s.Name, err)
		}
	}
	for i := range m.Panels {
		p := &m.Panels[i]
		if err := m.checkPanel(p); err != nil {
			return fmt.Errorf("panel %q of the heat model: %w", p.Name, err)
		}
	}
	for i := range m.Loops {
		l := &m.Loops[i]
		if err := m.checkLoop(l); err != nil {
			return fmt.Errorf("loop %q of the heat model: %w", l.Name, err)
		}
	}
	return m.checkShares()
}

// checkShares refuses a way whose air is used twice: sinks one behind the other
// meet air of different temperatures and need a zone between them.
func (m *Model) checkShares() error {
	for b := range m.Air.Branches {
		sum := 0.0
		add := func(branch int, share float64) {
			if branch == b && share == 0 {
				sum++
			} else if branch == b {
				sum += share
			}
		}
		for i := range m.Sinks {
			add(m.Sinks[i].Branch, m.Sinks[i].Share)
		}
		for i := range m.Loops {
			for k := range m.Loops[i].Stations {
				if st := &m.Loops[i].Stations[k]; st.PlateKW == 0 {
					add(st.Branch, st.Share)
				}
			}
		}
		if sum > 1+1e-9 {
			return fmt.Errorf("the sinks in way %q use %.0f percent of its air; give each its share, or a zone between sinks in line",
				m.Air.Branches[b].Name, 100*sum)
		}
	}
	return nil
}

func (m *Model) checkRef(r Ref, roomAllowed bool) error {
	if r == Room && roomAllowed {
		return nil
	}
	if r < 0 || int(r) >= m.size() {
		return fmt.Errorf("it points at number %d but there are %d temperatures; use the references that the model makes", int(r), m.size())
	}
	return nil
}

func (m *Model) checkConductor(c *Conductor) error {
	if err := m.checkRef(c.A, true); err != nil {
		return err
	}
	if err := m.checkRef(c.B, true); err != nil {
		return err
	}
	if c.A == c.B {
		return fmt.Errorf("it joins a thing to itself; give it another end")
	}
	return air.CheckRange("thermal resistance", c.ResistanceKW, 1e-6, 1e6, "K/W")
}

func (m *Model) checkSink(s *Sink) error {
	if err := m.checkRef(s.Body, false); err != nil {
		return err
	}
	if err := s.Law.check(); err != nil {
		return err
	}
	if err := air.CheckRange("resistance of the sink at rest", s.AtRestKW, 0, 1e6, "K/W"); err != nil {
		return err
	}
	if s.Branch == NoBranch {
		if err := m.checkRef(s.InZone, true); err != nil {
			return err
		}
		if int(s.InZone) >= len(m.Air.Nodes) {
			return fmt.Errorf("it stands in %q, which is no zone; give a zone or the room", m.Name(s.InZone))
		}
		return air.CheckRange("flow of the sink's own fan", s.FlowM3S, 0, 100, "m3/s")
	}
	return m.checkBranch(s.Branch, s.Share)
}

func (m *Model) checkBranch(branch int, share float64) error {
	if branch < 0 || branch >= len(m.Air.Branches) {
		return fmt.Errorf("it stands in way number %d but there are %d ways; use an existing one or NoBranch", branch, len(m.Air.Branches))
	}
	return air.CheckRange("share of the flow", share, 0, 1, "")
}

func (m *Model) checkPanel(p *Panel) error {
	if err := m.checkRef(p.Inside, false); err != nil {
		return err
	}
	if err := air.CheckRange("area of the panel", p.AreaM2, 1e-6, 100, "m2"); err != nil {
		return err
	}
	if err := air.CheckRange("emissivity", p.Emissivity, 0, 1, ""); err != nil {
		return err
	}
	if err := air.CheckRange("coefficient at the inside of the panel", p.InnerWM2K, 0.1, 1000, "W/(m2 K)"); err != nil {
		return err
	}
	if err := air.CheckRange("heat capacity", p.CapacityJK, 0, 1e9, "J/K"); err != nil {
		return err
	}
	_, err := NaturalWM2K(p.Facing, p.LengthM, 20, m.Air.Room)
	return err
}

func (m *Model) checkLoop(l *Loop) error {
	if len(l.Stations) < 2 {
		return fmt.Errorf("it has %d stations; give a plate and a radiator at least", len(l.Stations))
	}
	if err := air.CheckRange("flow of the pump", l.FlowM3S, 0, 1, "m3/s"); err != nil {
		return err
	}
	if err := air.CheckRange("density of the liquid", l.Liquid.DensityKgM3, 100, 5000, "kg/m3"); err != nil {
		return err
	}
	if err := air.CheckRange("specific heat of the liquid", l.Liquid.CpJKgK, 500, 10000, "J/(kg K)"); err != nil {
		return err
	}
	if err := air.CheckRange("heat capacity", l.CapacityJK, 0, 1e9, "J/K"); err != nil {
		return err
	}
	for i := range l.Stations {
		if err := m.checkStation(&l.Stations[i]); err != nil {
			return fmt.Errorf("station %q: %w", l.Stations[i].Name, err)
		}
	}
	return nil
}

func (m *Model) checkStation(s *Station) error {
	if s.PlateKW != 0 {
		if err := m.checkRef(s.Body, false); err != nil {
			return err
		}
		return air.CheckRange("resistance of the cold plate", s.PlateKW, 1e-5, 1e3, "K/W")
	}
	if err := m.checkBranch(s.Branch, s.Share); err != nil {
		return err
	}
	if err := air.CheckRange("conductance of the radiator", s.UAWK, 1e-3, 1e6, "W/K"); err != nil {
		return err
	}
	if err := air.CheckRange("flow that the radiator's conductance holds for", s.UAFlowM3S, 1e-6, 100, "m3/s"); err != nil {
		return err
	}
	if err := air.CheckRange("flow exponent of the radiator", s.UAExponent, 0, 0.8, ""); err != nil {
		return err
	}
	_, err := Effectiveness(s.Arrangement, 1, 1)
	return err
}
