package mounting

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// powerPlugs are the plugs of an item's power sockets whose connector begins with a
// word, in words: "cpu-8 from Leiselauf, 400 mm".
func (s *scene) powerPlugs(it *kit.Item, sockets []*v1.PowerSocket, begins string) (plugs []string) {
	for _, p := range sockets {
		if !strings.HasPrefix(p.GetConnector(), begins) {
			continue
		}
		n := 1
		if p.Count != nil {
			n = int(*p.Count)
		}
		text := p.GetConnector() + " to " + it.Name()
		if n > 1 {
			text = kit.FormatNumber(float64(n), "") + " x " + text
		}
		if p.GetDispensable() {
			text += ", if at hand"
		}
		plugs = append(plugs, text+s.along(it.ID, p.GetConnector()))
	}
	return plugs
}

// along tells how long the way of a cable is, where the arrangement has routes.
func (s *scene) along(to, connector string) string {
	for _, r := range s.fact.Routes {
		if r.GetTo() != to || r.GetConnector() != connector || r.NeededMm == nil {
			continue
		}
		text := ", " + kit.FormatNumber(rounded(r.GetNeededMm(), 0), "mm") + " of way"
		if r.HaveMm != nil {
			text += " with " + kit.FormatNumber(r.GetHaveMm(), "mm") + " of cable"
		}
		return text
	}
	return ""
}

// frontLeads are the leads of the enclosure's front panel, in words.
func (s *scene) frontLeads() (plugs []string) {
	if s.chassis == nil {
		return nil
	}
	for _, l := range s.chassis.Part.GetChassis().GetFrontLeads() {
		text := l.GetHeader() + " from the front panel"
		if l.LengthMm != nil {
			text += ", " + kit.FormatNumber(l.GetLengthMm(), "mm")
		}
		plugs = append(plugs, text)
	}
	return plugs
}

// plugOfStage reports whether a plug, by the name of its box, is plugged in at a
// stage.
func plugOfStage(name string, st stage) bool {
	cpu, power := strings.Contains(name, "cpu"), strings.Contains(name, "main")
	switch st {
	case stageProcessorPlug:
		return cpu
	case stageBoardPlugs:
		return power
	case stageCardPlug:
		return true
	default:
		return !cpu && !power
	}
}
