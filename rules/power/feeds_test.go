package power

import (
	"fmt"
	"math"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/electric"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/standards"
)

// twoSockets is a card with two sockets, three drives, and more plugs than they
// need.
const twoSockets = `
items:
- {id: board, part: {board: {power_sockets: [{connector: main-24}]}}}
- {id: card, part: {card: {width_lanes: 16, demand: {sustained_w: 300}, power_sockets: [{connector: pcie-8, count: 2}]}}}
- {id: drives, count: 3, part: {drive: {form_factor: 2.5-inch, demand: {sustained_w: 4, rails: [{rail: 5v, share: 1}]}, power_sockets: [{connector: sata-power}]}}}
- {id: bought, part: {cable: {from: six, pinout: otter, ends: [{connector: main-24, length_mm: 450}]}}}
- id: supply
  part:
    supply:
      pinout: otter
      outlets: [{socket: six, count: 1}, {socket: eight, count: 2}, {socket: drives, count: 2}]
      cables:
      - {from: six, ends: [{connector: main-24, length_mm: 300}]}
      - {from: eight, count: 2, ends: [{connector: pcie-6+2, length_mm: 300}, {connector: pcie-6+2, length_mm: 400}]}
      - {from: drives, count: 2, ends: [{connector: sata-power, length_mm: 300}, {connector: sata-power, length_mm: 400}, {connector: sata-power, length_mm: 500}]}
`

// fedBy is where each plug of a build sits: the part, the connector, the cable by
// its number, the end of the cable, and whether the cable was bought.
func fedBy(t *testing.T, build *v1.Build) (out []string) {
	t.Helper()
	c := circuitOf(t, build)
	for i, f := range c.feeds.all {
		bought := ""
		if c.feeds.strands[f.cable].lead.index < 0 {
			bought = " bought"
		}
		item := -1
		if c.itemOf[i] >= 0 {
			item = c.itemOf[i]
		}
		out = append(out, fmt.Sprintf("%d:%s end %d%s", item, f.plug, f.end, bought))
	}
	return out
}

func TestPlugsGoWhereAPersonPutsThem(t *testing.T) {
	rows := []struct{ name, build, want string }{
		{"one plug each from two cables for the card, all drives on one cable, the bought cable before the supply's own", twoSockets,
			"0:main-24 end 0 bought, 1:pcie-6+2 end 0, 1:pcie-6+2 end 0, 2:sata-power end 0, 2:sata-power end 1, 2:sata-power end 2"},
		{"both plugs of one cable where the supply has one socket left", strings.Replace(twoSockets, "{socket: eight, count: 2}", "{socket: eight}", 1),
			"0:main-24 end 0 bought, 1:pcie-6+2 end 0, 1:pcie-6+2 end 1, 2:sata-power end 0, 2:sata-power end 1, 2:sata-power end 2"},
		{"an extension that is listed is used", strings.Replace(twoSockets, "- id: supply", "- {id: reach, part: {cable: {from: pcie-8, ends: [{connector: pcie-8, length_mm: 300}]}}}\n- id: supply", 1),
			"0:main-24 end 0 bought, 1:pcie-8 end 0 bought, 1:pcie-6+2 end 0, 2:sata-power end 0, 2:sata-power end 1, 2:sata-power end 2, -1:pcie-6+2 end 0"},
	}
	for _, row := range rows {
		if got := strings.Join(fedBy(t, kittest.Build(t, row.build)), ", "); got != row.want {
			t.Errorf("%s:\n got  %s\n want %s", row.name, got, row.want)
		}
	}
}

// Two plugs in a row share the wire up to the first, so that it carries what both
// do, while each contact carries its own.
func TestChainedPlugsAddUpInTheirWire(t *testing.T) {
	_, facts := judged(t, newEvaluator(t), kittest.Build(t, twoSockets), CircuitFact)
	var wire, contact []float64
	for _, load := range facts[CircuitFact].GetCircuit().GetConnectors() {
		if load.GetConnector() == standards.ConnectorSATA && load.GetRail() == "5v" {
			wire, contact = append(wire, load.GetWireA()), append(contact, load.GetCurrentA())
		}
	}
	if len(wire) != 3 {
		t.Fatalf("%d plugs carry 5 V, want 3", len(wire))
	}
	for i := range wire {
		if sum := contact[i:]; math.Abs(wire[i]-total(sum)) > 1e-9 || math.Abs(contact[i]-0.8) > 0.02 {
			t.Errorf("plug %d: %g A in the wire, %g A in the contacts of a drive of 4 W", i, wire[i], contact[i])
		}
	}
}

func total(values []float64) (sum float64) {
	for _, v := range values {
		sum += v
	}
	return sum
}

// For builds whose sustained load decides, the engine's own sizing of a supply,
// which knows nothing of documents, comes to the rating that the rule asks for.
func TestCapacityAgreesWithTheEngine(t *testing.T) {
	table := electric.Supply{Name: "any", RatedW: 1000, Derating: electric.Curve{{X: 40, Y: electric.Exactly(1)}}}
	for _, id := range []string{"long-supply", "second-radiator", "no-arrangement", "fans-under-card"} {
		build := demoBuild(t, id)
		findings := 0
		fs, facts := judged(t, newEvaluator(t), build)
		d := facts[DemandFact].GetDemand()
		sustained := electric.Range{Low: d.GetSustainedLowW(), Nominal: d.GetSustainedW(), High: d.GetSustainedHighW()}
		size, err := table.Size(electric.Demand{TypicalW: sustained, SustainedW: sustained},
			electric.SizingPolicy{ReserveShare: 0.2, PlateauLow: 0.4, PlateauHigh: 0.6, IntakeC: electric.Exactly(23)})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range fs {
			if f.GetRule() == "power.capacity" {
				findings++
				if got := f.GetRequired().GetNominal(); got != math.Ceil(size.LeastW) {
					t.Errorf("build %s: %g W here, %g W by the engine", id, got, size.LeastW)
				}
			}
		}
		if findings != 1 {
			t.Errorf("build %s has %d findings on its supply's size", id, findings)
		}
	}
}
