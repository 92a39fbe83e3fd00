package fastening

import (
	"errors"
	"fmt"
	"math"

	"slipfit.example/rules/standards"
)

// Torque is how hard a screw is turned.
type Torque struct {
	// LowNm holds, HighNm does no harm.
	LowNm, HighNm float64
	// Source is that of the bound that decides.
	Source standards.Source
}

// Partners of a screw that the trade has torques of its own for.
const (
	IntoStandoff = "brass standoff"
	IntoSheet    = "sheet steel"
	IntoPlastic  = "plastic"
	IntoM2       = "M.2 module"
)

// leastShare is how much of the ceiling a screw is turned to at least where the
// trade has no figure of its own (common practice, no source).
const leastShare = 0.5

// TorqueFor is the torque range of a screw: the trade's where it has one for what
// the screw goes into, never above the ceiling of its thread and class; else from
// half of that ceiling up to it. class is the property class, such as "4.8"; an
// unknown or empty one counts as 4.8, the weakest that the tables have. The error
// says that neither is tabled.
func TorqueFor(thread, class, into string) (Torque, error) {
	token := Token(thread)
	ceiling, errCeiling := standards.TorqueCeilingFor(token, Token(class))
	if errCeiling != nil {
		ceiling, errCeiling = standards.TorqueCeilingFor(token, "4.8")
	}
	for _, c := range standards.CustomaryTorques() {
		if c.Joint != into || c.Thread != "" && c.Thread != token {
			continue
		}
		t := Torque{c.LowNm, c.HighNm, c.Source}
		if errCeiling == nil && ceiling.NewtonMetre < t.HighNm {
			t.HighNm, t.Source = ceiling.NewtonMetre, ceiling.Source
			t.LowNm = math.Min(t.LowNm, t.HighNm)
		}
		return t, nil
	}
	if errCeiling != nil {
		return Torque{}, fmt.Errorf("how hard a %s screw is turned is not in the tables; ask its maker: %w", thread, errCeiling)
	}
	return Torque{leastShare * ceiling.NewtonMetre, ceiling.NewtonMetre, ceiling.Source}, nil
}

// TooTight tells by how much a torque passes what thread and class bear, in N.m; 0
// where it does not.
func TooTight(nm float64, thread, class string) (float64, error) {
	if !(nm >= 0 && nm <= 1000) {
		return 0, errors.New("the torque is no number from 0 to 1000 N.m; read the driver's setting again")
	}
	c, err := standards.TorqueCeilingFor(Token(thread), Token(class))
	if err != nil {
		return 0, err
	}
	return math.Max(0, nm-c.NewtonMetre), nil
}
