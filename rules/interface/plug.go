package mating

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// Plugs of fans and pumps, and of their lights.
const (
	plugFan4  = "fan-4"
	plugFan3  = "fan-3"
	plugPump4 = "pump-4"
	plugLight = "argb-3"
	plugRGB   = "rgb-4"
)

// pairing is how a plug goes onto a header.
type pairing uint8

const (
	noPair     pairing = iota
	oddPair            // it runs, but not as it should by itself
	properPair         // as it is meant
)

// pair tells how a plug goes onto a header. The plugs of fans with three and four
// wires go onto each other's headers by design (4-wire PWM controlled fans
// specification, compatibility); a four-wire fan on a three-pin header is not
// controlled. A header for pumps feeds fans as well; a pump on a fan's header must
// be set to full speed (common practice, no source). Others compare as text.
func pair(plug, header string) pairing {
	switch {
	case plug == header:
		return properPair
	case !isFanPlug(plug) || !isFanPlug(header):
		return noPair
	case plug == plugFan4 && header == plugFan3, plug == plugPump4:
		return oddPair
	}
	return properPair
}

func isFanPlug(kind string) bool { return kind == plugFan4 || kind == plugFan3 || kind == plugPump4 }

// consumer is one fan or pump that plugs onto a header.
type consumer struct {
	item       *kit.Item
	plug       string // "" where the part does not say
	run, start float64
	known      bool // currents are known
	pump       bool
	seat       int    // place in the list of the item's fans, -1 for a loose fan
	header     int    // where it is plugged in, -1 nowhere
	alike      bool   // as the one before
	plugPath   string // fields that it comes from
	runPath    string
	startPath  string
	fan        *v1.Fan
}

// outlet is one header of the board.
type outlet struct {
	number int // in the board's list
	kind   string
	limit  float64
	stated bool // the board states the limit
	n      int  // consumers on it
	run    float64
	start  float64
}

// splitter is one cable that makes several headers of one.
type splitter struct {
	from string
	more int // headers that it adds
}

// headerLimit is the current that a header brings where its board does not say.
var headerLimit = standards.FanHeaders()[0]

// pumpVolt is the voltage of a header, by which a pump's power gives its current.
var pumpVolt = func() float64 {
	limit, err := standards.RailLimitFor(standards.GuideATX3, standards.Rail12V)
	if err != nil {
		panic(err)
	}
	return limit.NominalV
}()

// Bounds of what is listed: a build with more does not end well, and need not be
// listed to the end to see that.
const (
	mostConsumers = 64
	mostOutlets   = 64
	mostSplitters = 64
)

// startFactor is what a fan draws while it starts where its part does not say, as
// a multiple of its current at full speed.
var startFactor = &kit.Parameter{
	Name: "interface.header-current.start_factor", Unit: "", Default: 3, Least: 1, Greatest: 10,
	Purpose: "Current of a fan while it starts, as a multiple of its current at full speed, where its part does not state it.",
	Source:  sourceByID("fan-header-trade"),
}

// listConsumers lists what plugs onto the headers: loose fans, coolers' fans,
// loops' fans and their pumps. Fans on a supply's own plug are left out.
func (p *plugging) listConsumers(h *hookup) {
	p.consumers, p.unlisted = p.consumers[:0], 0
	for it := range h.c.Items(kit.KindLiquidLoop) {
		p.addPump(it)
	}
	for it := range h.c.Items(kit.KindAirCooler) {
		for i, seat := range it.Part.GetAirCooler().Fans {
			p.addFan(h, consumer{item: it, fan: seat.Fan, seat: i, plugPath: coolerFanPlug.at(i), runPath: coolerFanRun.at(i),
				startPath: coolerFanStart.at(i)}, it.Count*counted(seat.Count))
		}
	}
	for it := range h.c.Items(kit.KindLiquidLoop) {
		for i, seat := range it.Part.GetLiquidLoop().Fans {
			p.addFan(h, consumer{item: it, fan: seat.Fan, seat: i, plugPath: loopFanPlug.at(i), runPath: loopFanRun.at(i),
				startPath: loopFanStart.at(i)}, it.Count*counted(seat.Count))
		}
	}
	for it := range h.c.Items(kit.KindFan) {
		p.addFan(h, consumer{item: it, fan: it.Part.GetFan(), seat: -1, plugPath: "fan.header", runPath: "fan.current_a",
			startPath: "fan.start_current_a"}, it.Count)
	}
}

func (p *plugging) addFan(h *hookup, c consumer, count int) {
	if c.fan == nil {
		c.fan = &noFan
	}
	c.plug = c.fan.GetHeader()
	if standards.Known(standards.VocabConnector, c.plug) {
		return // the supply feeds it
	}
	c.run, c.known = c.fan.GetCurrentA(), c.fan.CurrentA != nil
	if c.start = c.fan.GetStartCurrentA(); c.fan.StartCurrentA == nil {
		c.start = c.run * h.c.Parameter(startFactor).Nominal
	}
	c.start = max(c.start, c.run)
	p.add(c, count)
}

// noFan stands for a fan that a document leaves out.
var noFan v1.Fan

// addPump adds the pump of a loop. The contract does not say what it plugs into:
// it is taken to plug onto a header, as pumps of closed loops do.
func (p *plugging) addPump(it *kit.Item) {
	power := it.Part.GetLiquidLoop().PumpPowerW
	c := consumer{item: it, pump: true, plug: plugPump4, seat: -1, known: power != nil, runPath: "liquid_loop.pump_power_w"}
	if power != nil {
		c.run = *power / pumpVolt
	}
	c.start = c.run
	p.add(c, it.Count)
}

func (p *plugging) add(c consumer, count int) {
	for i := range count {
		if len(p.consumers) == mostConsumers {
			p.unlisted += count - i
			return
		}
		c.alike, c.header = i > 0, -1
		p.consumers = append(p.consumers, c)
	}
}

// listOutlets lists the board's headers for fans and pumps, and the splitters.
func (p *plugging) listOutlets(h *hookup) {
	p.outlets, p.splitters, p.more = p.outlets[:0], p.splitters[:0], 0
	for i, header := range h.theBoard().GetHeaders() {
		if !p.wanted(header.GetKind()) {
			continue
		}
		o := outlet{number: i, kind: header.GetKind(), limit: headerLimit.Ampere}
		if header.CurrentA != nil {
			o.limit, o.stated = header.GetCurrentA(), true
		}
		for range min(counted(header.Count), mostOutlets-len(p.outlets)) {
			p.outlets = append(p.outlets, o)
		}
	}
	for it := range h.c.Items(kit.KindCable) {
		cable := it.Part.GetCable()
		more := splits(cable)
		if more == 0 || !isFanPlug(cable.GetFrom()) {
			continue
		}
		for range min(it.Count*counted(cable.Count), mostSplitters-len(p.splitters)) {
			p.splitters = append(p.splitters, splitter{cable.GetFrom(), more})
			p.more += more
		}
	}
}

// wanted reports whether any consumer's plug goes onto a header of some kind.
func (p *plugging) wanted(kind string) bool {
	if isFanPlug(kind) {
		return true
	}
	for i := range p.consumers {
		if p.consumers[i].plug == kind {
			return true
		}
	}
	return false
}

// splits is how many headers of its own kind a cable adds to the one it takes.
func splits(cable *v1.Cable) int {
	ends := -1
	for _, end := range cable.GetEnds() {
		if pair(end.GetConnector(), cable.GetFrom()) != noPair {
			ends++
		}
	}
	return max(0, ends)
}
