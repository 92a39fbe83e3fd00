package mounting

import (
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
	"slipfit.example/rules/standards"
)

var coolerMomentSource = standards.Source{
	ID: "cooler-moment", Title: "heavy tower coolers as sold", Clause: "1.3 kg at 115 mm over the board", Standing: standards.Memory, Witnesses: 1,
}

var coolerMomentLimit = kit.Parameter{
	Name: "mounting.cooler-moment.limit_nm", Unit: "N.m", Default: 1.5, Least: 0.1, Greatest: 20,
	Purpose: "Which moment of a cooler a board that stands upright bears.",
	Source:  coolerMomentSource,
}

var coolerMomentRule = kit.Rule{
	ID: "mounting.cooler-moment", Title: "Moment of the cooler on the board", Since: "0.1.0",
	Why: "On a board that stands, a tall cooler hangs out sideways from four small screws; a jolt in transport multiplies its weight and breaks board or socket.",
	Formula: "Moment is the cooler's weight times the distance of its centre of mass from the board, half its height over the lid unless the document says where it " +
		"lies. A board that lies flat has none.",
	Sources:    []sourceOf{coolerMomentSource, kit.CommonPractice},
	Reads:      []string{"mass_g", "centre_of_mass", "air_cooler.height_mm", "board.socket_centre", "chassis.layouts.mounts.poses"},
	UsesFacts:  []string{factArrangement},
	Parameters: []*kit.Parameter{&coolerMomentLimit, &kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "{part} pulls at the board with {measured}; {required} are usual for heavy coolers.",
		"marginal": "{part} pulls at the board with {measured}, more than the {required} that are usual for heavy coolers.",
		"fail":     "{part} pulls at the board with {measured}, more than the {required} that are usual for heavy coolers.",
		"unknown":  "How {part} pulls at the board cannot be told without {missing}; both stand in its data sheet.",
	},
	Remedies: map[string]string{"flat": "Support the cooler, or let the machine stand so that the board lies flat."},
	Cautions: map[string]string{
		"ship": "Take the cooler off before the machine is shipped, or lay the machine so that the board lies flat and pad the cooler: a jolt breaks it off.",
	},
	Judge: judgeCoolerMoment,
	Bound: boundCoolerMoment,
}

// heavyCoolerG is from which mass on a cooler wants care in transport (common
// practice, no source).
const heavyCoolerG = 600

// usualLidMM is how high a processor's lid lies over its board where the board does
// not say (from memory, no source).
const usualLidMM = 7.5

func judgeCoolerMoment(c *kit.Case) {
	s := sceneOf(c)
	board := c.First(kit.KindBoard)
	if s.chassis == nil || board == nil || !s.upright(board) {
		return
	}
	for it := range c.Items(kit.KindAirCooler) {
		moment, mass := s.coolerMoment(it, board)
		f := c.AtMost(moment, c.Parameter(&coolerMomentLimit)).About(it, board).AtWorst(kit.Marginal).Word("part", it.Name()).Remedy("flat")
		if mass.Known() && mass.Nominal >= heavyCoolerG {
			f.Caution("ship")
		}
	}
}

// coolerMoment is the moment of a cooler on a board that stands, and the mass that it
// is worked out from.
func (s *scene) coolerMoment(it, board *kit.Item) (moment, mass kit.Value) {
	lid := usualLidMM
	if board.Part.GetBoard().GetSocketCentre().GetZMm() > 0 {
		lid = solids.LidAboveBoard(board.Part)
	}
	mass = s.c.Figure(it, "mass_g", it.Part.MassG, "g", massShare*it.Part.GetMassG())
	height := s.c.Length(it, "air_cooler.height_mm", it.Part.GetAirCooler().HeightMm)
	arm := lid + centreAlong(it.Part, geometry.Z, height.Nominal/2)
	return s.c.Derived(momentOf(mass.Range, arm), "N.m", mass, height), mass
}

func boundCoolerMoment(c *kit.Case) {
	s := sceneOf(c)
	board := c.First(kit.KindBoard)
	if s.chassis == nil || board == nil {
		return
	}
	for it := range c.Items(kit.KindAirCooler) {
		if (c.Sought(it) || c.Sought(board)) && s.boardWillStand(board) {
			moment, _ := s.coolerMoment(it, board)
			s.foretell(moment, &coolerMomentLimit)
		}
	}
}
