package solids

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/standards"
)

// Plug is the room that a mated plug takes out of its socket.
type Plug struct {
	// LengthMM is how far the plug stands out of the socket.
	LengthMM float64
	// BendMM is what the cable needs behind it until it has turned aside.
	BendMM float64
}

// Customary room of plugs, where no cable says: a plug of the 4.2 mm family stands
// out by 25 mm, and its cable of 8 mm turns within 20 mm (common practice, no
// source).
const (
	customaryPlugMM = 25
	customaryBendMM = 20
)

// CustomaryPlug is the room of a plug where nothing is known of its cable. A
// 12V-2x6 plug keeps the straight length that its makers ask for behind it.
func CustomaryPlug(connector string) Plug {
	if connector == standards.Connector12V2x6 || connector == standards.Connector12VHPWR {
		return Plug{customaryPlugMM, standards.HighPowerBend.Value}
	}
	return Plug{customaryPlugMM, customaryBendMM}
}

func (s *Settings) plug(connector string) Plug {
	if s.Plug != nil {
		if p, ok := s.Plug(connector); ok {
			return p
		}
	}
	return CustomaryPlug(connector)
}

// Housing of a plug round its contacts, both ways, and the size where contacts
// are not tabled: from memory, no source.
const (
	housingMM      = 2.0
	plainPlugLong  = 22.0
	plainPlugShort = 11.0
)

// crossSection is a plug seen from its cable: two rows of contacts in a housing.
func crossSection(connector string) (long, short float64) {
	if connector == "" { // the sockets of supplies are of no standard
		return plainPlugLong, plainPlugShort
	}
	c, err := standards.ConnectorByToken(connector)
	if err != nil || c.PitchMM == 0 || c.Pins < 2 {
		return plainPlugLong, plainPlugShort
	}
	rows := float64((c.Pins + 1) / 2)
	return rows*c.PitchMM + housingMM, 2*c.PitchMM + housingMM
}

// addPlug adds the room of a plug that leaves a socket at a point in a direction.
// The long side of its cross-section lies along an axis across that direction.
func (r *reader) addPlug(s *geometry.Solid, name, connector string, at geometry.Vec, faces geometry.Face, along geometry.Axis, reach float64) {
	if reach <= 0 {
		return
	}
	long, short := crossSection(connector)
	half := geometry.Vec{short / 2, short / 2, short / 2}
	half[along] = long / 2
	low, high := at.Sub(half), at.Add(half)
	out := faces.Axis()
	low[out], high[out] = at[out], at[out]
	if faces.Upper() {
		high[out] += reach
	} else {
		low[out] -= reach
	}
	r.piece(s, name, geometry.PurposePlug, low, high)
}

// placed reports whether a socket tells where it lies.
func placed(at *v1.Point) bool { return at != nil }
