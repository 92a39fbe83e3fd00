package clearance

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/route"
	"slipfit.example/rules/solids"
	"slipfit.example/rules/standards"
)

var (
	riserSlack = kit.Parameter{
		Name: "clearance.riser-length.slack_mm", Unit: "mm", Default: 10, Least: 0, Greatest: 300,
		Purpose: "How much longer than its way a riser's ribbon must be, so that it does not pull the card out of its socket.",
		Source:  kit.CommonPractice,
	}
	riserStep = kit.Parameter{
		Name: "clearance.riser-length.step_mm", Unit: "mm", Default: 10, Least: 1, Greatest: 300,
		Purpose: "The steps of length in which risers are sold; the length to order is rounded up to whole steps.",
		Source:  kit.CommonPractice,
	}
)

// Figures of risers (from memory, no source): the ribbon's thickness, its least
// bend radius where the riser does not say, how far its plug stands out of the
// board's slot and its socket below the card, and half the connector's length,
// which puts the ribbon at the connector's middle.
const (
	ribbonThickness = 2.0
	ribbonBend      = 8.0
	riserPlug       = 15.0
	halfConnector   = 45.0
)

var riserLengthRule = kit.Rule{
	ID: "clearance.riser-length", Title: "Riser long enough for its way", Since: "0.1.0", Overall: true,
	Why:        "A riser that is too short does not reach the card, or bends so tightly that the link falls back or fails.",
	Formula:    "The shortest way round everything of matter in the arrangement is taken from the board's slot to the contacts of the card, no tighter than the riser's least bend radius. Margin is the riser's length less that way and the slack.",
	Sources:    []sourceOf{makersLimit, standards.X16Datum.Source, kit.CommonPractice},
	Parameters: []*kit.Parameter{&riserSlack, &riserStep, &kit.LengthTolerance},
	Reads:      []string{"riser.length_mm", "riser.bend_radius_mm", "riser.rigid", "card.length_mm", "board.card_slots.position"},
	Texts: map[string]string{
		"pass":     "{riser} is {measured} long, and its way from the board's slot to {part} takes at most {required}, slack included.",
		"marginal": "{riser} is {measured} long where its way from the board's slot to {part} takes {required}, slack included: it reaches, by less than the figures may be off.",
		"fail":     "{riser} is {measured} long, and its way from the board's slot to {part} takes at least {required}, slack included.",
		"unknown":  "Whether {riser} reaches {part} cannot be told without {missing}; measure the ribbon from connector to connector.",
		"blocked":  "The ribbon of {riser} finds no way from the board's slot to {part}: {obstacles} in the way.",
		"untold":   "The way of the ribbon of {riser} from the board's slot to {part} could not be worked out ({reason}); correct the places of board and card.",
		"narrow":   "The ribbon of {riser} finds no way from the board's slot to {part}: the room there is too narrow.",
	},
	Remedies: map[string]string{
		"longer":  "Use a riser of {order}.",
		"measure": "Lay a strip of paper along the way and measure before you order; a riser of {order} would be beyond doubt.",
		"clear":   "Make room for the ribbon, or choose a layout in which the card sits in the board's own slot.",
	},
	Judge: judgeRiserLength,
}

// ribbon is what makes a run that of a riser.
type ribbon struct{ riser *v1.Riser }

// ribbons lists the flexible risers of the build, each from the board's slot to
// a card that stands away from it.
func ribbons(c *kit.Case, a *v1.Arrangement) (out []run) {
	board := c.First(kit.KindBoard)
	if board == nil {
		return nil
	}
	pose, seat := poseOfSeat(a, board.ID, 0)
	if seat == nil {
		return nil
	}
	cards := cardsOnRisers(c, a)
	for it := range c.Items(kit.KindRiser) {
		riser := it.Part.GetRiser()
		if len(cards) == 0 {
			continue
		}
		card := cards[0]
		cards = cards[1:]
		if riser.GetRigid() {
			continue
		}
		r := run{supply: board, to: card, item: it, ribbon: &ribbon{riser}, socket: &v1.PowerSocket{Connector: &ribbonEnd},
			length: c.Length(it, "riser.length_mm", riser.LengthMm)}
		r.layRibbon(pose, a)
		out = append(out, r)
	}
	return out
}

var ribbonEnd = "slot"

// cardsOnRisers are the cards on mounts that need a riser.
func cardsOnRisers(c *kit.Case, a *v1.Arrangement) (out []*kit.Item) {
	for it := range c.Items(kit.KindCard) {
		_, seat := poseOfSeat(a, it.ID, 0)
		if seat == nil {
			continue
		}
		for _, layout := range c.First(kit.KindChassis).Part.GetChassis().GetLayouts() {
			if layout.GetId() != a.GetLayout() {
				continue
			}
			for _, m := range layout.Mounts {
				if m.GetId() == seat.GetMount() && needsRiser(m) {
					out = append(out, it)
				}
			}
		}
	}
	return out
}

func needsRiser(m *v1.Mount) bool {
	for _, need := range m.Needs {
		if strings.HasPrefix(need, "riser") {
			return true
		}
	}
	return false
}

// layRibbon finds both ends of a ribbon: the first slot of the board, and the
// contacts of the card.
func (r *run) layRibbon(board geometry.Pose, a *v1.Arrangement) {
	slot, err := solids.SlotFrame(firstSlot(r.supply.Part.GetBoard()))
	card, seat := poseOfSeat(a, r.to.ID, 0)
	if err != nil || seat == nil {
		return
	}
	along := standards.X16Datum.Value + standards.RearWallPastEdge.Value + halfConnector
	contacts := geometry.Vec{standards.SolderSideHeight.Value, along, 0}
	inBoard := board.After(slot)
	r.from = route.Terminal{At: inBoard.Point(contacts), Exit: inBoard.Rotation().Face(geometry.MaxZ), Straight: riserPlug}
	r.end = route.Terminal{At: card.Point(contacts), Exit: card.Rotation().Face(geometry.MinZ), Straight: riserPlug}
	r.placed = true
}

func firstSlot(board *v1.Board) int {
	for _, slot := range board.GetCardSlots() {
		if slot.Position != nil {
			return int(slot.GetPosition())
		}
	}
	return 1
}

func judgeRiserLength(c *kit.Case) {
	judgeRuns(c, func(r *run) bool { return r.ribbon != nil })
}
