package power

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// provideCircuit hands on what rails and connectors carry, to an asker who wants
// it. Draws that are not known count as nothing in it.
func provideCircuit(c *kit.Case) {
	if !c.Wants(CircuitFact) {
		return
	}
	s := surveyOf(c)
	if s.supply == nil {
		return
	}
	r := s.operate(c)
	if r == nil || !r.solved {
		return
	}
	name, out := CircuitFact, &v1.Circuit{CableHeatW: &r.lossW}
	s.appendRails(c, out, r)
	for i := range s.laid.circuit.feeds.all {
		s.appendConnector(c, out, r, i)
	}
	s.appendLoads(out, r)
	c.Provide(&v1.Fact{Name: &name, Content: &v1.Fact_Circuit{Circuit: out}})
}

func (s *survey) appendRails(c *kit.Case, out *v1.Circuit, r *reading) {
	for rail := range railCount {
		if !s.laid.circuit.used[rail] {
			continue
		}
		load := &v1.RailLoad{
			Rail: &railWords[rail], CurrentA: &r.rails[rail].sustained, IdleA: &r.rails[rail].idle, PeakA: &r.rails[rail].peak,
		}
		if rating, _, _ := s.railRating(c, rail); rating.Known() {
			load.RatedA = &rating.Nominal
		}
		out.Rails = append(out.Rails, load)
	}
}

// groundWord is what the fact calls the return.
var groundWord = "ground"

// appendConnector adds the rails of one plug.
func (s *survey) appendConnector(c *kit.Case, out *v1.Circuit, r *reading, feed int) {
	circuit := s.laid.circuit
	f := &circuit.feeds.all[feed]
	better := namesGuide(s.supply) && circuit.feeds.strands[f.cable].up < 0
	air, uneven := s.airAround(c), c.Parameter(&unevenFactor).Nominal
	awg, _ := circuit.feeds.strands[f.cable].gaugeOf(f.plug)
	for rail := range railCount + 1 {
		l, amps := circuit.legs[feed][rail], r.legs[feed][rail]
		if l.wires == 0 {
			continue
		}
		carriers := l.carriers(f.plug)
		count, word := uint32(carriers), &groundWord
		if rail < railCount {
			word = &railWords[rail]
		}
		contact := amps.nominal / float64(carriers)
		if carriers > 1 {
			contact *= uneven
		}
		load := &v1.ConnectorLoad{
			Item: &s.fedItem(circuit, feed).ID, Connector: &f.plug, Rail: word, Contacts: &count, Cable: &s.cableItem(circuit, f.cable).ID,
			CurrentA: &amps.nominal, ContactA: &contact, WireA: &amps.wire, CableHeatW: &amps.wireW,
		}
		if rating, known := contactRating(f.plug, better); known {
			load.ContactRatedA = &rating.Nominal
		}
		if air.Known() {
			warm := wireC(int(awg.Nominal), air.Nominal, amps.wire/bundleShare(circuit.warmWires(r, feed)))
			load.WireC = &warm
		}
		s.addVoltage(load, circuit, r, feed, rail)
		out.Connectors = append(out.Connectors, load)
	}
}

// addVoltage adds what arrives at the load behind a plug.
func (s *survey) addVoltage(load *v1.ConnectorLoad, circuit *circuit, r *reading, feed, rail int) {
	for i := range circuit.consumers {
		if k := &circuit.consumers[i]; k.rail == rail && circuit.feedsSite(feed, k.site) {
			volts, low := r.loads[i].sustained, min(circuit.volts[rail].Low, r.loads[i].nominal)-r.loads[i].lost
			load.VoltageV, load.VoltageLowV = &volts, &low
			return
		}
	}
}

func (s *survey) appendLoads(out *v1.Circuit, r *reading) {
	for i := range s.laid.circuit.consumers {
		k := &s.laid.circuit.consumers[i]
		watts := k.watts(s.taken[k.item].sustained.Nominal, false)
		out.Loads = append(out.Loads, &v1.LoadPoint{
			Item: &s.items[k.item].ID, Rail: &railWords[k.rail], PowerW: &watts,
			VoltageV: &r.loads[i].sustained, PeakVoltageV: &r.loads[i].nominal,
		})
	}
}
