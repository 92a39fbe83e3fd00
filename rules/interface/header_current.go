package mating

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

var headerCurrentRule = kit.Rule{
	ID: "interface.header-current", Title: "Current of the fan headers", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindFan, kit.KindAirCooler, kit.KindLiquidLoop, kit.KindBoard, kit.KindCable},
	Why:   "A header that is overloaded burns its trace or switches off, and the fans on it stand still; splitters add their fans' currents on one header.",
	Formula: "Margin is what the header bears less the currents of what is plugged onto it, at full speed; the high end is the current while all of them start. The fans are dealt out " +
		"so that no header is overloaded where that can be done. A board that states no limit is taken to bear 1 A, a custom, which does not fail.",
	Sources:    []sourceOf{sourceByID("fan-header-tps"), sourceByID("fan-header-trade"), sourceByID("fan-4wire-2.1.2")},
	Parameters: []*kit.Parameter{startFactor, &kit.PowerTolerance},
	Reads: []string{"fan.current_a", "fan.start_current_a", "air_cooler.fans.fan.current_a", "liquid_loop.fans.fan.current_a", "liquid_loop.pump_power_w",
		"board.headers.current_a"},
	Texts: map[string]string{
		"pass":      "No fan header of {board} is overloaded; the fullest is {header}, with {measured} of {required}.",
		"marginal":  "The header {header} of {board} bears {required} and carries {measured} at full speed, but {start} while the fans start.",
		"assumed":   "The header {header} of {board} carries {measured}; the board states no limit, and {required} is what is customary.",
		"fail":      "The header {header} of {board} bears {required} and would carry {measured}.",
		"unknown":   "What the header {header} of {board} carries cannot be told without {missing}; currents stand on the fans' labels.",
		"undecided": "So many fans and headers were not tried out to the end; add up by hand what each header of {board} carries.",
	},
	Remedies: map[string]string{
		"hub":   "Feed some of these fans by a hub that takes its current from the supply, or move them to another header.",
		"board": "Look the limit of the header up in the board's manual.",
	},
	Cautions: map[string]string{
		"trace": "A header that is overloaded can burn the board; do not try it out.",
	},
	Judge: judgeHeaderCurrent,
}

func judgeHeaderCurrent(c *kit.Case) {
	h := hookupOf(c)
	p := h.plugged()
	if p.level >= unplaced {
		return // the rule on headers has said it
	}
	if p.level == placed && p.undecided {
		c.Judged(kit.Unknown, c.Absent(h.board.At("board.headers"), "")).About(h.board).Word("board", h.board.Name()).Say("undecided")
		return
	}
	fullest, told := -1, false
	for j := range p.outlets {
		o := &p.outlets[j]
		switch {
		case o.n == 0:
			continue
		case p.unknownOn(j), o.start > o.limit+slack || h.worstRun(o) > o.limit+slack:
			h.tellCurrent(j)
			told = true
		case fullest < 0 || o.limit-o.start < p.outlets[fullest].limit-p.outlets[fullest].start:
			fullest = j
		}
	}
	if !told && fullest >= 0 {
		h.tellCurrent(fullest)
	}
}

// worstRun is the running current of a header where all figures are off upwards.
func (h *hookup) worstRun(o *outlet) float64 {
	return o.run * (1 + h.c.Parameter(&kit.PowerTolerance).Nominal)
}

// unknownOn reports whether the current of something on a header is not known.
func (p *plugging) unknownOn(j int) bool {
	for i := range p.consumers {
		if p.consumers[i].header == j && !p.consumers[i].known {
			return true
		}
	}
	return false
}

func (h *hookup) tellCurrent(j int) {
	c, p := h.c, h.plugged()
	o := &p.outlets[j]
	header := h.theBoard().Headers[o.number]
	var limit kit.Value
	if at := h.board.At(headerCurrent.at(o.number)); o.stated {
		limit = c.Given(at, header.CurrentA, "A")
	} else {
		limit = c.Assume(at, quantity.Exact(o.limit), "A")
	}
	run := kit.Constant(o.run, "A")
	run.Range = quantity.Range{Nominal: o.run, Low: o.run, High: max(o.start, h.worstRun(o))}
	var f *kit.Finding
	if p.unknownOn(j) && o.run <= o.limit {
		f = c.Judged(kit.Unknown, limit) // a sum without some of its currents says nothing
	} else {
		f = c.AtMost(run, limit)
	}
	for i := range p.consumers {
		if k := &p.consumers[i]; k.header == j {
			if !p.onBefore(j, i) {
				f.About(k.item)
			}
			if f.Verdict() == kit.Fail {
				f.Despite(h.currentOf(k))
			} else {
				f.Using(h.currentOf(k))
			}
		}
	}
	f.About(h.board).Word("board", h.board.Name()).Word("header", headerName(header)).Number("start", kit.Constant(o.start, "A"))
	if !o.stated && f.Verdict() != kit.Unknown {
		f.AtWorst(kit.Marginal).SayWhen(kit.Marginal, "assumed").Remedy("board")
	}
	f.Remedy("hub")
	if f.Verdict() == kit.Fail {
		f.Caution("trace")
	}
}

// onBefore reports whether an earlier consumer on a header is of the same item.
func (p *plugging) onBefore(j, i int) bool {
	for k := range p.consumers[:i] {
		if p.consumers[k].header == j && p.consumers[k].item == p.consumers[i].item {
			return true
		}
	}
	return false
}

// currentOf is the running current of a consumer as evidence.
func (h *hookup) currentOf(k *consumer) kit.Value {
	if k.pump {
		return h.c.Power(k.item, k.runPath, k.item.Part.GetLiquidLoop().PumpPowerW)
	}
	return h.c.Figure(k.item, k.runPath, k.fan.CurrentA, "A", k.run*h.c.Parameter(&kit.PowerTolerance).Nominal)
}
