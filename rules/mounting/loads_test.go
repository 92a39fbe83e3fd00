package mounting

import (
	"math"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

const plainCase = "{id: case, part: {chassis: {width_mm: 200, height_mm: 400, depth_mm: 400, feet_mm: 10}, mass_g: 5000}}"

// 1,500 g on half of 312 mm: 1.5 x 9.80665 x 0.156 = 2.295 N.m (card specification,
// from memory).
func TestCardMoment(t *testing.T) {
	lying := "{id: case, part: {chassis: {layouts: [{id: a, mounts: [{id: tray, kind: MOUNT_KIND_BOARD, poses: [{x_points: AXIS_X_PLUS, z_points: AXIS_Z_PLUS}]}]}]}}}"
	kittest.Table(t, Pack(), "mounting.card-moment", []kittest.Row{
		{Name: "a light card", Build: build(plainCase, "{id: card, part: {mass_g: 800, card: {length_mm: 250, height_mm: 120}}}"), Want: []string{"PASS card,case margin 1.32 N.m"}},
		{Name: "1.5 kg at full length is the limit: a little heavier and it is not sure", Build: build(plainCase, "{id: card, part: {mass_g: 1500, card: {length_mm: 312, height_mm: 120}}}"), Want: []string{"MARGINAL card,case margin 0.01 N.m"}},
		{Name: "a heavy card wants a support", Build: build(plainCase, "{id: card, part: {mass_g: 2200, card: {length_mm: 340, height_mm: 140}}}"), Want: []string{"MARGINAL card,case margin -1.37 N.m"}},
		{Name: "its centre of mass lies near the bracket", Build: build(plainCase, "{id: card, part: {mass_g: 2200, centre_of_mass: {y_mm: 80}, card: {length_mm: 340}}}"), Want: []string{"PASS card,case margin 0.57 N.m"}},
		{Name: "a support is bought: the policy's limit", Policy: map[string]float64{"mounting.card-moment.limit_nm": 5}, Build: build(plainCase, "{id: card, part: {mass_g: 2200, card: {length_mm: 340}}}"), Want: []string{"PASS card,case margin 1.33 N.m"}},
		{Name: "mass not stated", Build: build(plainCase, "{id: card, part: {card: {length_mm: 250, slots: 2}}}"), Want: []string{"UNKNOWN card,case missing items[1].part.mass_g"}},
		{Name: "length not stated", Build: build(plainCase, "{id: card, part: {mass_g: 900, card: {slots: 2}}}"), Want: []string{"UNKNOWN card,case missing items[1].part.card.length_mm"}},
		{Name: "a card of one slot of which nobody tells the mass is a small one", Build: build(plainCase, "{id: card, part: {card: {length_mm: 150, slots: 1}}}")},
		{Name: "a board that lies flat: the card stands in its slot", Build: build(lying, "{id: board, part: {board: {}}}", "{id: card, part: {mass_g: 2200, card: {length_mm: 340}}}")},
		{Name: "no enclosure", Build: build("{id: card, part: {mass_g: 2200, card: {length_mm: 340}}}")},
	})
	// A cantilever under its own weight, m g L^3 / (8 E I), by hand: 9.80665 N on
	// 267 mm, I = 120 x 1.6^3 / 12 = 40.96 mm4, E = 220 kN/mm2: 2.59 mm.
	if got := sagOf(1000, 267, 120); math.Abs(got-2.5893) > 1e-3 {
		t.Errorf("sag of %g mm", got)
	}
}

func TestCoolerMoment(t *testing.T) {
	board := "{id: board, part: {board: {socket_centre: {z_mm: 9.57}}}}"
	kittest.Table(t, Pack(), "mounting.cooler-moment", []kittest.Row{
		// 1 kg at 8 + 84 mm: 0.902 N.m.
		{Name: "a tall tower", Build: build(plainCase, board, "{id: cooler, part: {mass_g: 1000, air_cooler: {height_mm: 168}}}"), Want: []string{"PASS cooler,board margin 0.6 N.m"}},
		{Name: "too heavy for comfort", Build: build(plainCase, board, "{id: cooler, part: {mass_g: 1900, air_cooler: {height_mm: 168}}}"), Want: []string{"MARGINAL cooler,board margin -0.21 N.m"}},
		{Name: "just within, less sure than a mass is printed", Build: build(plainCase, board, "{id: cooler, part: {mass_g: 1650, air_cooler: {height_mm: 168}}}"), Want: []string{"MARGINAL cooler,board margin 0.01 N.m"}},
		{Name: "it says where its mass lies", Build: build(plainCase, board, "{id: cooler, part: {mass_g: 1900, centre_of_mass: {z_mm: 60}, air_cooler: {height_mm: 168}}}"), Want: []string{"PASS cooler,board margin 0.23 N.m"}},
		{Name: "a part with no mass", Build: build(plainCase, board, "{id: cooler, part: {air_cooler: {height_mm: 168}}}"), Want: []string{"UNKNOWN cooler,board missing items[2].part.mass_g"}},
		{Name: "height not stated", Build: build(plainCase, board, "{id: cooler, part: {mass_g: 900, air_cooler: {tower: true}}}"), Want: []string{"UNKNOWN cooler,board missing items[2].part.air_cooler.height_mm"}},
		{Name: "a board that lies flat bears it", Build: build("{id: case, part: {chassis: {layouts: [{id: a, mounts: [{id: tray, kind: MOUNT_KIND_BOARD, poses: [{z_points: AXIS_Z_PLUS}]}]}]}}}", board, "{id: cooler, part: {mass_g: 1900, air_cooler: {height_mm: 168}}}")},
		{Name: "no board", Build: build(plainCase, "{id: cooler, part: {mass_g: 1900, air_cooler: {height_mm: 168}}}")},
	})
}

func TestTipping(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.tipping", []kittest.Row{
		// atan((100 - 15) / (200 + 10)) = 22.04 degrees.
		{Name: "a small tower stands", Build: build(plainCase), Want: []string{"PASS case margin 12.04 deg"}},
		{Name: "a slim one may fall", Build: build("{id: case, part: {chassis: {width_mm: 120, height_mm: 400, depth_mm: 400}, mass_g: 5000}}"), Want: []string{"MARGINAL case margin 2.68 deg"}},
		{Name: "a slimmer one does", Build: build("{id: case, part: {chassis: {width_mm: 90, height_mm: 400, depth_mm: 400}, mass_g: 5000}}"), Want: []string{"MARGINAL case margin -1.47 deg"}},
		{Name: "feet lift it", Build: build("{id: case, part: {chassis: {width_mm: 120, height_mm: 400, depth_mm: 400}, mass_g: 5000}}", "{id: feet, part: {accessory: {provides: [feet-60], feet_mm: 60}}}"), Want: []string{"MARGINAL case margin -0.18 deg"}},
		{Name: "a width not stated", Build: build("{id: case, part: {chassis: {height_mm: 400, depth_mm: 400}}}"), Want: []string{"UNKNOWN case missing items[0].part.chassis.width_mm"}},
		{Name: "nothing stated of the outside", Build: build("{id: case, part: {chassis: {limits: {card_slots: 2}}}}")},
		{Name: "no enclosure", Build: build("{id: board, part: {board: {}}}")},
		// The same weight low down: the enclosure of 5 kg in the middle of its inside of
		// 380 mm, a supply of 20 kg in its box 40 mm high on the floor: (5 x 190 + 20 x 20) / 25 =
		// 54 mm, atan((100 - 15) / 54) = 57.57 degrees.
		{Name: "boxes tell where the mass lies",
			Build: build("{id: case, part: {chassis: {width_mm: 200, height_mm: 400, depth_mm: 400, compartments: [{id: a, extent: {size_x_mm: 380, size_y_mm: 190, size_z_mm: 380}}]}, mass_g: 5000}}", "{id: supply, part: {mass_g: 20000, supply: {}}}"),
			Facts: []*v1.Fact{boxes(arrangement("|"), "supply|body|140,45,0|100,100,40")},
			Want:  []string{"PASS case margin 47.57 deg"},
		},
	})
}

func TestLifting(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.lifting", []kittest.Row{
		{Name: "light enough", Build: build(plainCase, "{id: card, count: 2, part: {mass_g: 1000, card: {}}}"), Want: []string{"PASS case margin 18 kg"}},
		{Name: "more than 25 kg (ISO 11228-1, from memory) is for two", Build: build("{id: case, part: {chassis: {}, mass_g: 26000}}"), Want: []string{"MARGINAL case margin -1 kg"}},
		{Name: "what small parts weigh is assumed with a range", Build: build("{id: case, part: {chassis: {}, mass_g: 24000}}", "{id: fans, count: 3, part: {fan: {}}}"), Want: []string{"MARGINAL case margin 0.55 kg"}},
		{Name: "what heavy parts weigh is not", Build: build(plainCase, "{id: card, part: {card: {}}}"), Want: []string{"UNKNOWN case missing items[1].part.mass_g"}},
		{Name: "boxes of screws stay on the bench", Build: build(plainCase, "{id: box, part: {fastener_kit: {}, mass_g: 90000}}"), Want: []string{"PASS case margin 20 kg"}},
		{Name: "the policy's limit", Policy: map[string]float64{"mounting.lifting.one_person_kg": 4}, Build: build(plainCase), Want: []string{"MARGINAL case margin -1 kg"}},
		{Name: "no enclosure", Build: build("{id: card, part: {card: {}}}")},
	})
}
