package mounting

import (
	"math"

	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var cardMassSource = standards.Source{
	ID: "card-mass", Title: "PCI Express card electromechanical specification", Clause: "mass of add-in cards, 1.5 kg", Standing: standards.Memory, Witnesses: 1,
}

var cardMomentLimit = kit.Parameter{
	Name: "mounting.card-moment.limit_nm", Unit: "N.m", Default: 2.3, Least: 0.1, Greatest: 20,
	Purpose: "Which moment a card's bracket and slot bear without a support: 1.5 kg in the middle of a card of full length, 312 mm.",
	Source:  cardMassSource,
}

var cardMomentRule = kit.Rule{
	ID: "mounting.card-moment", Title: "Moment of the card on its slot", Since: "0.1.0",
	Why: "A long, heavy card that lies flat hangs from its bracket: it sags, works its contacts loose, and tears the slot out when the machine is carried.",
	Formula: "Moment is the card's weight times the distance of its centre of mass from the bracket, half its length unless the document says where it lies. " +
		"A card that stands or hangs along gravity has none. The sag is that of a cantilever of glass-fibre board, 1.6 mm thick, ten times stiffer by its cooler " +
		"(model from memory), and may be three times more or less.",
	Sources:    []sourceOf{cardMassSource, kit.CommonPractice},
	Reads:      []string{"mass_g", "centre_of_mass", "card.length_mm", "card.height_mm", "chassis.layouts.mounts.poses"},
	UsesFacts:  []string{factArrangement},
	Parameters: []*kit.Parameter{&cardMomentLimit, &kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "{part} pulls at its slot with {measured}, sagging by about {sag} at its end; {required} are borne without a support.",
		"marginal": "{part} pulls at its slot with {measured}, sagging by about {sag} at its end, and {required} are borne without a support.",
		"fail":     "{part} pulls at its slot with {measured}, and {required} are borne without a support.",
		"unknown":  "How {part} pulls at its slot cannot be told without {missing}; both stand in its data sheet.",
	},
	Remedies: map[string]string{"support": "Support the card at its free end, or choose a layout in which it stands."},
	Cautions: map[string]string{
		"carry": "Take the card out before the machine is shipped, and carry the machine so that the card stands: a jolt tears the slot off the board.",
	},
	Judge: judgeCardMoment,
	Bound: boundCardMoment,
}

// shipFromG is from which mass on a card is better taken out for shipping (common
// practice, no source).
const shipFromG = 900

func judgeCardMoment(c *kit.Case) {
	s := sceneOf(c)
	if s.chassis == nil {
		return
	}
	for it := range c.Items(kit.KindCard) {
		if !momentTold(it) || !s.cardLies(it) {
			continue
		}
		moment, mass, length := s.cardMoment(it)
		f := c.AtMost(moment, c.Parameter(&cardMomentLimit)).About(it, s.chassis).AtWorst(kit.Marginal).Word("part", it.Name()).
			Number("sag", kit.Constant(rounded(sagOf(mass.Nominal, length.Nominal, it.Part.GetCard().GetHeightMm()), 1), "mm")).Remedy("support")
		if mass.Known() && mass.Nominal >= shipFromG {
			f.Caution("carry")
		}
	}
}

// momentTold reports whether something is said of a card that lies: not of a small one
// of which nobody tells the mass.
func momentTold(it *kit.Item) bool { return it.Part.MassG != nil || it.Part.GetCard().GetSlots() != 1 }

// cardMoment is the moment of a card that lies, and what it is worked out from.
func (s *scene) cardMoment(it *kit.Item) (moment, mass, length kit.Value) {
	mass, length = s.c.Figure(it, "mass_g", it.Part.MassG, "g", massShare*it.Part.GetMassG()), s.c.Length(it, "card.length_mm", it.Part.GetCard().LengthMm)
	arm := centreAlong(it.Part, geometry.Y, length.Nominal/2)
	return s.c.Derived(momentOf(mass.Range, arm), "N.m", mass, length), mass, length
}

func boundCardMoment(c *kit.Case) {
	s := sceneOf(c)
	if s.chassis == nil {
		return
	}
	for it := range c.Items(kit.KindCard) {
		if momentTold(it) && (c.Sought(it) || c.Sought(s.chassis)) && s.cardWillLie(it) {
			moment, _, _ := s.cardMoment(it)
			s.foretell(moment, &cardMomentLimit)
		}
	}
}

// momentOf is the moment in N.m of a mass in g on an arm in mm.
func momentOf(mass quantity.Range, armMM float64) quantity.Range {
	k := newtonPerGram * max(0, armMM) / 1000
	return quantity.Range{Nominal: mass.Nominal * k, Low: mass.Low * k, High: mass.High * k}
}

// Figures of the sag model (from memory, no source): modulus of glass-fibre board
// in N/mm2, its thickness in mm, and how much stiffer cooler and frame make it.
const (
	boardModulus, boardThick, coolerStiffens = 22000.0, 1.6, 10.0
	usualCardHeight                          = 111.15
)

// sagOf is how far the free end of a card sinks, in mm: its weight spread over its
// length on a cantilever, m g L^3 / (8 E I).
func sagOf(massG, lengthMM, heightMM float64) float64 {
	if heightMM <= 0 {
		heightMM = usualCardHeight
	}
	inertia := heightMM * boardThick * boardThick * boardThick / 12
	return massG * newtonPerGram * lengthMM * lengthMM * lengthMM / (8 * boardModulus * inertia * coolerStiffens)
}

// rounded is a number to so many decimals.
func rounded(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(v*scale) / scale
}
