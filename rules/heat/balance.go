package heat

import "math"

// Balance is where the heat comes from and where it goes. In a steady state
// both sums agree.
type Balance struct {
	SourcesW  float64 // heat set free in zones, bodies and ways
	ExhaustW  float64 // carried to the room by air, above the room's temperature
	SurfacesW float64 // handed to the room by panels, conductors, and sinks whose air leaves at once
	ResidualW float64 // SourcesW - ExhaustW - SurfacesW
}

// Relative is the residual over the heat set free, or the residual itself in W
// when nothing is set free.
func (b Balance) Relative() float64 {
	if b.SourcesW <= 0 {
		return math.Abs(b.ResidualW)
	}
	return math.Abs(b.ResidualW) / b.SourcesW
}

// balance adds up what crosses the boundary of the enclosure at the present
// temperatures. It uses the streams themselves, not the linear network.
func (s *Solver) balance() Balance {
	var b Balance
	m := s.model
	for _, p := range s.source {
		b.SourcesW += p
	}
	cp, room := m.Air.Room.CpJKgK, m.Air.Room.TemperatureC
	for i := range m.Air.Branches {
		up, down := s.ends(i)
		if down == Room && up != Room {
			b.ExhaustW += math.Abs(s.air.FlowKgS(i)) * cp * (s.at(up) - room)
		}
		if len(m.BranchPowerW) > 0 {
			b.SourcesW += m.BranchPowerW[i]
			_, rate := s.passing(i, 1)
			ahead := downstreamShare(rate)
			if down == Room {
				b.ExhaustW += ahead * m.BranchPowerW[i]
			}
			if up == Room {
				b.ExhaustW += (1 - ahead) * m.BranchPowerW[i]
			}
		}
	}
	for i := range m.Air.Nodes {
		if out := -m.Air.Nodes[i].InflowM3S; out > 0 {
			b.ExhaustW += out * m.Air.Room.DensityKgM3 * cp * (s.temperature[i] - room)
		}
	}
	for i := range s.links {
		l := &s.links[i]
		heat := l.g * (s.at(l.driveA) - s.at(l.driveB))
		if l.to == Room {
			b.SurfacesW += heat
		}
		if l.from == Room {
			b.SurfacesW -= heat
		}
	}
	b.ResidualW = b.SourcesW - b.ExhaustW - b.SurfacesW
	return b
}
