package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/solids"
)

// plugOf is the room of a plug by the cables of the build: the longest plug and
// the widest bend of those that fit the connector.
func (s *scene) plugOf(connector string) (solids.Plug, bool) {
	var out solids.Plug
	found := false
	look := func(c *v1.Cable) {
		for _, end := range c.GetEnds() {
			if plugsInto(end.GetConnector(), connector) && c.PlugMm != nil {
				out.LengthMM, found = max(out.LengthMM, c.GetPlugMm()), true
				out.BendMM = max(out.BendMM, bendOf(c))
			}
		}
	}
	for i := range s.items {
		look(s.items[i].part.GetCable())
		for _, c := range s.items[i].part.GetSupply().GetCables() {
			look(c)
		}
	}
	return out, found
}

// plugsInto reports whether a cable's end goes into a socket by its name: the
// split plugs of the trade bear both their halves.
func plugsInto(end, socket string) bool {
	return end == socket || end == "cpu-4+4" && (socket == "cpu-8" || socket == "cpu-4") ||
		end == "pcie-6+2" && (socket == "pcie-8" || socket == "pcie-6") ||
		end == "main-20+4" && socket == "main-24" || end == "12v-2x6" && socket == "12vhpwr" || end == "12vhpwr" && socket == "12v-2x6"
}

func bendOf(c *v1.Cable) float64 {
	switch {
	case c.BendRadiusMm != nil:
		return *c.BendRadiusMm
	case c.DiameterMm != nil:
		return cableBend * *c.DiameterMm
	default:
		return solids.CustomaryPlug("").BendMM
	}
}
