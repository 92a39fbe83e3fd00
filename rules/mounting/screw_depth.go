package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var clamped = kit.Parameter{
	Name: "mounting.screw-depth.clamped_mm", Unit: "mm", Default: 0, Least: 0, Greatest: 20,
	Purpose: "How thick what lies between a long screw's head and the fan is: washers, a gasket, or the panel.",
	Source:  kit.CommonPractice,
}

var panelSheet = kit.Parameter{
	Name: "mounting.screw-depth.panel_mm", Unit: "mm", Default: 1, Least: 0, Greatest: 10,
	Purpose: "How thick the sheet is that a short screw holds against the radiator.",
	Source:  kit.CommonPractice,
}

var screwDepthRule = kit.Rule{
	ID: "mounting.screw-depth", Title: "Screws that reach into the radiator", Since: "0.1.0",
	Why: "Behind a radiator's threads lie its tubes; a screw that reaches them pierces them, and the coolant runs over the parts below.",
	Formula: "Margin is the radiator's screw depth, less the screw's length beyond what it holds: the fan and what lies between for a screw longer than the fan, " +
		"the panel's sheet for a shorter one, which is doubtful at worst, since the sheet is assumed.",
	Sources: []sourceOf{sourceByID("screw-protrusion"), kit.CommonPractice},
	Reads: []string{
		"radiator.screw_depth_mm", "liquid_loop.radiator.screw_depth_mm", "liquid_loop.fans.fan.thickness_mm", "fan.thickness_mm", "kit.fasteners",
	},
	UsesFacts:  []string{factArrangement},
	Parameters: []*kit.Parameter{&kit.LengthTolerance, &clamped, &panelSheet},
	Texts: map[string]string{
		"pass":     "Radiator screws of {length} from the box of {box} reach {measured} into the radiator of {part}, and {required} are free: {margin} to spare.",
		"marginal": "Radiator screws of {length} from the box of {box} reach {measured} into the radiator of {part}, and {required} are free: that is less to spare than the figures may be off.",
		"fail":     "Radiator screws of {length} from the box of {box} reach {measured} into the radiator of {part}, and only {required} are free before its tubes.",
		"unknown":  "Whether radiator screws from the box of {box} pierce the radiator of {part} cannot be told without {missing}; measure the depth of a hole with a match.",
	},
	Remedies: map[string]string{
		"shorter": "Use screws that are at least {shortfall} shorter, or washers of that thickness.",
	},
	Cautions: map[string]string{
		"pierce": "Do not drive these screws home: they can pierce the tubes, and coolant on live parts is a danger of shock and fire.",
	},
	Judge: judgeScrewDepth,
}

func judgeScrewDepth(c *kit.Case) {
	s := sceneOf(c)
	for it := range c.Items(kit.KindRadiator) {
		s.judgeDepths(it, it.Part.GetRadiator(), "radiator.screw_depth_mm", nil)
	}
	for it := range c.Items(kit.KindLiquidLoop) {
		loop := it.Part.GetLiquidLoop()
		s.judgeDepths(it, loop.GetRadiator(), "liquid_loop.radiator.screw_depth_mm", loop.Fans)
	}
}

// judgeDepths judges every lot of screws that is meant for radiators.
func (s *scene) judgeDepths(it *kit.Item, radiator *v1.Radiator, field string, own []*v1.FanSeat) {
	if radiator == nil {
		return
	}
	free := s.c.Length(it, field, radiator.ScrewDepthMm)
	fan := s.fanThickness(it, own)
	for i := range s.lots {
		l := &s.lots[i]
		f := l.fastener
		ofOther := l.item.Kind == kit.KindLiquidLoop && l.item != it || l.item.Kind == kit.KindRadiator && l.item != it
		if f.GetKind() != "screw" || f.GetPurpose() != "radiator" || ofOther ||
			f.Thread != nil && radiator.Thread != nil && !sameThread(f.GetThread(), radiator.GetThread()) {
			continue
		}
		s.judgeDepth(it, l, fan, free)
	}
}

func (s *scene) judgeDepth(it *kit.Item, l *lot, fan, free kit.Value) {
	c := s.c
	length := c.Length(l.item, l.paths().length, l.fastener.LengthMm)
	short := length.Known() && fan.Known() && length.Nominal <= fan.Nominal
	held := c.Sum("mm", fan, c.Parameter(&clamped))
	if short {
		held = c.Parameter(&panelSheet)
	}
	f := c.AtMost(c.Less(length, held), free).About(it, l.item).Word("part", it.Name()).Word("box", l.item.Name()).Number("length", length)
	if short {
		f.AtWorst(kit.Marginal)
	}
	f.RemedyOf("shorter", f.Shortfall()).CautionWhen("pierce")
}

// fanThickness is the thickness of a radiator's fans as a value.
func (s *scene) fanThickness(it *kit.Item, own []*v1.FanSeat) kit.Value {
	mm, open := s.fanOn(it, own)
	if open != (kit.Path{}) {
		if own == nil && !s.arrange {
			return s.c.AbsentFact(factArrangement, "mm")
		}
		return s.c.Absent(open, "mm")
	}
	if len(own) > 0 {
		return s.c.Length(it, "liquid_loop.fans[0].fan.thickness_mm", &mm)
	}
	for fan := range s.c.Items(kit.KindFan) {
		if t := fan.Part.GetFan().ThicknessMm; t != nil && *t == mm {
			return s.c.Length(fan, "fan.thickness_mm", &mm)
		}
	}
	return s.c.Absent(noItem, "mm")
}
