package power

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air/spice"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// drawn is a build's wiring written for the circuit simulator by the wire table
// (ASTM B258, annealed copper at 40 °C) and the contacts' nominal resistances,
// with the points to compare.
type drawn struct {
	net, print strings.Builder
	c          *circuit
}

func (d *drawn) resistor(name, a, b string, ohms float64) {
	fmt.Fprintf(&d.net, "r%s %s %s %.12g\n", name, a, b, ohms)
}

// end is the point that a plug brings a rail to.
func (d *drawn) end(feed, rail int) string {
	for i := range d.c.sites {
		if d.c.feedsSite(feed, i) {
			return d.site(i, rail)
		}
	}
	return fmt.Sprintf("a%d_%d", feed, rail)
}

func (d *drawn) site(i, rail int) string {
	if k := d.c.sites[i].kind; rail == ground && (k == boardSite || k == processorSite) {
		return "plane"
	}
	return fmt.Sprintf("s%d_%d", i, rail)
}

func (d *drawn) start(strand, rail int) string {
	switch up := d.c.feeds.strands[strand].up; {
	case up >= 0:
		return d.end(up, rail)
	case rail == ground:
		return "0"
	}
	return fmt.Sprintf("rail%d", rail)
}

// cable writes one rail of one cable.
func (d *drawn) cable(t *testing.T, at, rail int) {
	strand := &d.c.feeds.strands[at]
	cable, milliohms := strand.lead.cable, map[string]float64{standards.ConnectorSATA: 15, standards.Connector12V2x6: 3, standards.Connector12VHPWR: 3}
	var plugs []int
	for i := range d.c.feeds.all {
		if d.c.feeds.all[i].cable == at && d.c.legs[i][rail].wires > 0 {
			plugs = append(plugs, i)
		}
	}
	slices.SortFunc(plugs, func(a, b int) int { return d.c.feeds.all[a].end - d.c.feeds.all[b].end })
	from, reached := d.start(at, rail), 0.0
	for n, i := range plugs {
		f, leg := &d.c.feeds.all[i], d.c.legs[i][rail]
		contact := 4.0
		if m, ok := milliohms[f.plug]; ok {
			contact = m
		}
		if n == 0 && strand.up < 0 && !cable.GetCaptive() {
			socket := 4.0
			if contact == 3 {
				socket = 3
			}
			inner := fmt.Sprintf("o%d_%d", at, rail)
			d.resistor(inner, from, inner, socket/1000/float64(leg.wires))
			from = inner
		}
		perM, err := standards.WireOhmPerM(int(cable.GetGaugeAwg()), 40)
		if err != nil {
			t.Fatal(err)
		}
		length := cable.Ends[f.end].GetLengthMm()
		plug := fmt.Sprintf("p%d_%d", i, rail)
		d.resistor("w"+plug, from, plug, perM*(length-reached)/1000/float64(leg.wires))
		// A source without voltage reads the current.
		d.resistor("c"+plug, plug, "i"+plug, contact/1000/float64(leg.carriers(f.plug)))
		fmt.Fprintf(&d.net, "v%s i%s %s dc 0\n", plug, plug, d.end(i, rail))
		fmt.Fprintf(&d.print, "print i(v%s)\n", plug)
		from, reached = plug, length
	}
}

// deckOf writes the whole build with its sustained loads.
func deckOf(t *testing.T, c *circuit, loads []*v1.LoadPoint) spice.Deck {
	d := &drawn{c: c}
	for rail, used := range c.used {
		if used {
			fmt.Fprintf(&d.net, "vrail%d rail%d 0 dc %g\n", rail, rail, nominalVolts[rail])
			fmt.Fprintf(&d.print, "print i(vrail%d)\n", rail)
		}
	}
	for at := range c.feeds.strands {
		for rail := range railCount + 1 {
			d.cable(t, at, rail)
		}
	}
	for i := range c.sites {
		if c.sites[i].kind == socketSite && c.sites[i].nodes[ground] != 0 {
			d.resistor(fmt.Sprintf("slot%d", i), d.site(i, ground), "plane", 0.002)
		}
	}
	for i := range c.consumers {
		k := &c.consumers[i]
		plus, minus := d.site(k.site, k.rail), d.site(k.site, ground)
		fmt.Fprintf(&d.net, "b%d %s %s i=%.12g/v(%s,%s)\n.nodeset v(%s)=%g\n", i, plus, minus, loads[i].GetPowerW(), plus, minus, plus, nominalVolts[k.rail])
		fmt.Fprintf(&d.print, "print v(%s,%s)\n", plus, minus)
	}
	return spice.Deck{Netlist: d.net.String(), Commands: "op\n" + d.print.String()}
}

// circuitOf is the circuit of a build as the pack models it.
func circuitOf(t testing.TB, build *v1.Build) *circuit {
	t.Helper()
	pack := Pack()
	var out *circuit
	conclude := pack.Conclude
	pack.Conclude = func(c *kit.Case) {
		out = surveyOf(c).wire(c).circuit
		conclude(c)
	}
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	judged(t, e, build)
	return out
}

// extended is a build with an extension of the processor's cable and three drives
// on one cable.
const extended = "archive-editor, extended"

// The circuit simulator ngspice agrees with every rail's current, every plug's
// current and every load's voltage of the demo's builds within 0.1 %; it is given
// the wires by the published wire table's formulas and not by the engine.
func TestCircuitSimulatorAgreesOnTheDemo(t *testing.T) {
	type asked struct {
		id   string
		c    *circuit
		fact *v1.Circuit
	}
	var builds []asked
	var decks []spice.Deck
	for _, id := range append(demoBuilds(t), extended) {
		build := demoBuild(t, strings.TrimSuffix(id, ", extended"))
		if id == extended {
			build.Items = append(build.Items, demoItem(t, "extension", "cables.yaml#faden-cpu-extension-300", 1), demoItem(t, "more", "drives.yaml#walze-35-20000", 2))
		}
		_, facts := judged(t, newEvaluator(t), build, CircuitFact)
		fact := facts[CircuitFact].GetCircuit()
		if fact == nil {
			t.Fatalf("build %s has no circuit", id)
		}
		c := circuitOf(t, build)
		builds, decks = append(builds, asked{id, c, fact}), append(decks, deckOf(t, c, fact.Loads))
	}
	compared, worst := 0, 0.0
	for i, r := range spice.Run(t, decks) {
		b := builds[i]
		same := func(what, name string, ours float64) {
			t.Helper()
			theirs, found := r[name]
			if !found {
				t.Errorf("build %s: the simulator gives no %s (%s)", b.id, what, name)
				return
			}
			compared++
			off := math.Abs(ours-math.Abs(theirs)) / max(ours, 1e-3)
			if worst = max(worst, off); off > 1e-3 {
				t.Errorf("build %s, %s: %.6g here, %.6g in the simulator", b.id, what, ours, theirs)
			}
		}
		d := &drawn{c: b.c}
		for _, load := range b.fact.Rails {
			same("rail "+load.GetRail(), fmt.Sprintf("i(vrail%d)", railNumber(load.GetRail())), load.GetCurrentA())
		}
		at := 0
		for i := range b.c.feeds.all {
			for rail := range railCount + 1 {
				if b.c.legs[i][rail].wires > 0 {
					same(b.fact.Connectors[at].GetConnector(), fmt.Sprintf("i(vp%d_%d)", i, rail), b.fact.Connectors[at].GetCurrentA())
					at++
				}
			}
		}
		for i, load := range b.fact.Loads {
			k := &b.c.consumers[i]
			same("voltage at "+load.GetItem(), fmt.Sprintf("v(%s,%s)", d.site(k.site, k.rail), d.site(k.site, ground)), load.GetVoltageV())
		}
	}
	if compared < 200 {
		t.Errorf("only %d readings were compared", compared)
	}
	t.Logf("%d readings of %d builds, largest difference %.2g", compared, len(builds), worst)
}
