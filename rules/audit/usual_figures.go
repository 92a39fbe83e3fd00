package audit

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var usualFiguresRule = kit.Rule{
	ID: "audit.usual-figures", Title: "Figures where those of their kind lie", Since: "0.1.0",
	Why:     "A figure in the wrong unit, or with its point in the wrong place, makes every later answer wrong without anybody noticing.",
	Formula: "Each figure is held against the range that figures of its kind of part lie in; one outside is tried as inches, centimetres and other units and with its decimal point moved.",
	Sources: []source{experience},
	Reads:   usualReads(),
	Texts: texts("{count} figures of {part} lie where those of such parts lie.",
		"Whether the figures of {part} are plausible cannot be told without {missing}."),
	Remedies: remedies(),
	Judge:    each(judgeUsualFigures),
}

// usual is one field and the range that its values lie in among what is sold.
type usual[M any] struct {
	field, unit string
	low, high   float64
	of          func(M) *float64
}

// Ranges are common practice, no source: wide enough for the smallest and the
// largest that a small desktop computer is built from, and less than a factor of
// ten from end to end wherever the market allows, so that a moved decimal point
// shows.
var (
	usualChassis = []usual[*v1.Chassis]{
		{"chassis.width_mm", "mm", 55, 480, func(c *v1.Chassis) *float64 { return c.WidthMm }},
		{"chassis.height_mm", "mm", 60, 580, func(c *v1.Chassis) *float64 { return c.HeightMm }},
		{"chassis.depth_mm", "mm", 120, 650, func(c *v1.Chassis) *float64 { return c.DepthMm }},
		{"chassis.volume_l", "l", 1.5, 120, func(c *v1.Chassis) *float64 { return c.VolumeL }},
		{"chassis.feet_mm", "mm", 0, 60, func(c *v1.Chassis) *float64 { return c.FeetMm }},
	}
	usualLimits = []usual[*v1.ChassisLimits]{
		{"card_length_mm", "mm", 120, 500, func(l *v1.ChassisLimits) *float64 { return l.CardLengthMm }},
		{"card_height_mm", "mm", 64, 240, func(l *v1.ChassisLimits) *float64 { return l.CardHeightMm }},
		{"card_thickness_mm", "mm", 14, 110, func(l *v1.ChassisLimits) *float64 { return l.CardThicknessMm }},
		{"cooler_height_mm", "mm", 25, 210, func(l *v1.ChassisLimits) *float64 { return l.CoolerHeightMm }},
		{"supply_length_mm", "mm", 80, 300, func(l *v1.ChassisLimits) *float64 { return l.SupplyLengthMm }},
		{"memory_height_mm", "mm", 25, 120, func(l *v1.ChassisLimits) *float64 { return l.MemoryHeightMm }},
	}
	usualBoard = []usual[*v1.Board]{
		{"board.width_mm", "mm", 90, 360, func(b *v1.Board) *float64 { return b.WidthMm }},
		{"board.depth_mm", "mm", 90, 340, func(b *v1.Board) *float64 { return b.DepthMm }},
		{"board.socket_surround_mm", "mm", 8, 75, func(b *v1.Board) *float64 { return b.SocketSurroundMm }},
		{"board.regulator_limit_c", "°C", 70, 150, func(b *v1.Board) *float64 { return b.RegulatorLimitC }},
	}
	usualProcessor = []usual[*v1.Processor]{
		{"processor.rated_heat_w", "W", 10, 400, func(p *v1.Processor) *float64 { return p.RatedHeatW }},
		{"processor.demand.sustained_w", "W", 10, 450, func(p *v1.Processor) *float64 { return sustained(p.GetDemand()) }},
		{"processor.limit_c", "°C", 60, 125, func(p *v1.Processor) *float64 { return p.LimitC }},
		{"processor.lid_resistance_k_per_w", "K/W", 0.01, 1, func(p *v1.Processor) *float64 { return p.LidResistanceKPerW }},
	}
	usualCooler = []usual[*v1.AirCooler]{
		{"air_cooler.height_mm", "mm", 20, 185, func(a *v1.AirCooler) *float64 { return a.HeightMm }},
		{"air_cooler.width_mm", "mm", 45, 200, func(a *v1.AirCooler) *float64 { return a.WidthMm }},
		{"air_cooler.depth_mm", "mm", 40, 190, func(a *v1.AirCooler) *float64 { return a.DepthMm }},
		{"air_cooler.memory_clearance_mm", "mm", 0, 90, func(a *v1.AirCooler) *float64 { return a.MemoryClearanceMm }},
		{"air_cooler.rated_heat_w", "W", 40, 380, func(a *v1.AirCooler) *float64 { return a.RatedHeatW }},
		{"air_cooler.rated_rise_k", "K", 15, 90, func(a *v1.AirCooler) *float64 { return a.RatedRiseK }},
	}
	usualLoop = []usual[*v1.LiquidLoop]{
		{"liquid_loop.block_height_mm", "mm", 25, 120, func(l *v1.LiquidLoop) *float64 { return l.BlockHeightMm }},
		{"liquid_loop.tube_length_mm", "mm", 150, 900, func(l *v1.LiquidLoop) *float64 { return l.TubeLengthMm }},
		{"liquid_loop.tube_diameter_mm", "mm", 6, 20, func(l *v1.LiquidLoop) *float64 { return l.TubeDiameterMm }},
		{"liquid_loop.rated_heat_w", "W", 80, 650, func(l *v1.LiquidLoop) *float64 { return l.RatedHeatW }},
		{"liquid_loop.rated_rise_k", "K", 10, 90, func(l *v1.LiquidLoop) *float64 { return l.RatedRiseK }},
		{"liquid_loop.pump_power_w", "W", 0.5, 40, func(l *v1.LiquidLoop) *float64 { return l.PumpPowerW }},
	}
	usualRadiator = []usual[*v1.Radiator]{
		{"thickness_mm", "mm", 14, 90, func(r *v1.Radiator) *float64 { return r.ThicknessMm }},
		{"screw_depth_mm", "mm", 2, 20, func(r *v1.Radiator) *float64 { return r.ScrewDepthMm }},
		{"conductance_w_per_k", "W/K", 2, 90, func(r *v1.Radiator) *float64 { return r.ConductanceWPerK }},
	}
	usualMemory = []usual[*v1.Memory]{
		{"memory.height_mm", "mm", 15, 80, func(m *v1.Memory) *float64 { return m.HeightMm }},
		{"memory.limit_c", "°C", 60, 110, func(m *v1.Memory) *float64 { return m.LimitC }},
		{"memory.demand.sustained_w", "W", 0.8, 20, func(m *v1.Memory) *float64 { return sustained(m.GetDemand()) }},
	}
	usualCard = []usual[*v1.Card]{
		{"card.length_mm", "mm", 60, 420, func(c *v1.Card) *float64 { return c.LengthMm }},
		{"card.height_mm", "mm", 56, 190, func(c *v1.Card) *float64 { return c.HeightMm }},
		{"card.thickness_mm", "mm", 8, 95, func(c *v1.Card) *float64 { return c.ThicknessMm }},
		{"card.limit_c", "°C", 60, 125, func(c *v1.Card) *float64 { return c.LimitC }},
		{"card.asked_supply_w", "W", 180, 1600, func(c *v1.Card) *float64 { return c.AskedSupplyW }},
	}
	usualSupply = []usual[*v1.Supply]{
		{"supply.width_mm", "mm", 35, 200, func(s *v1.Supply) *float64 { return s.WidthMm }},
		{"supply.height_mm", "mm", 35, 100, func(s *v1.Supply) *float64 { return s.HeightMm }},
		{"supply.length_mm", "mm", 80, 280, func(s *v1.Supply) *float64 { return s.LengthMm }},
		{"supply.rated_w", "W", 90, 2400, func(s *v1.Supply) *float64 { return s.RatedW }},
		{"supply.power_factor", "", 0.5, 1, func(s *v1.Supply) *float64 { return s.PowerFactor }},
	}
	usualDrive = []usual[*v1.Drive]{
		{"drive.height_mm", "mm", 1, 45, func(d *v1.Drive) *float64 { return d.HeightMm }},
		{"drive.limit_c", "°C", 45, 100, func(d *v1.Drive) *float64 { return d.LimitC }},
		{"drive.capacity_gb", "GB", 30, 60000, func(d *v1.Drive) *float64 { return d.CapacityGb }},
		{"drive.demand.sustained_w", "W", 0.5, 25, func(d *v1.Drive) *float64 { return sustained(d.GetDemand()) }},
	}
	usualFan = []usual[*v1.Fan]{
		{"max_speed_rpm", "rpm", 350, 16000, func(f *v1.Fan) *float64 { return f.MaxSpeedRpm }},
		{"max_flow_m3h", "m3/h", 4, 450, func(f *v1.Fan) *float64 { return f.MaxFlowM3H }},
		{"max_pressure_pa", "Pa", 2, 400, func(f *v1.Fan) *float64 { return f.MaxPressurePa }},
		{"current_a", "A", 0.01, 3, func(f *v1.Fan) *float64 { return f.CurrentA }},
		{"start_current_a", "A", 0.02, 6, func(f *v1.Fan) *float64 { return f.StartCurrentA }},
		{"lead_mm", "mm", 80, 1200, func(f *v1.Fan) *float64 { return f.LeadMm }},
	}
	usualCable = []usual[*v1.Cable]{
		{"cable.diameter_mm", "mm", 2, 20, func(c *v1.Cable) *float64 { return c.DiameterMm }},
		{"cable.bend_radius_mm", "mm", 4, 120, func(c *v1.Cable) *float64 { return c.BendRadiusMm }},
		{"cable.plug_mm", "mm", 0, 60, func(c *v1.Cable) *float64 { return c.PlugMm }},
	}
	usualCableEnd = []usual[*v1.CableEnd]{
		{"length_mm", "mm", 80, 1500, func(e *v1.CableEnd) *float64 { return e.LengthMm }},
	}
	usualRiser = []usual[*v1.Riser]{
		{"riser.length_mm", "mm", 40, 1000, func(r *v1.Riser) *float64 { return r.LengthMm }},
		{"riser.bend_radius_mm", "mm", 2, 60, func(r *v1.Riser) *float64 { return r.BendRadiusMm }},
	}
)

var cableEnds = prefixes("cable.ends[", "].", 16)

func judgeUsualFigures(s *sheet) {
	switch kind := s.it.Part.GetKind().(type) {
	case *v1.Part_Chassis:
		holdAll(s, "", kind.Chassis, usualChassis, "those of other enclosures")
		eachLimits(s.it.Part, func(prefix string, l *v1.ChassisLimits) {
			holdAll(s, prefix, l, usualLimits, "such limits of other enclosures")
		})
	case *v1.Part_Board:
		holdAll(s, "", kind.Board, usualBoard, "those of other boards")
	case *v1.Part_Processor:
		holdAll(s, "", kind.Processor, usualProcessor, "those of other processors")
	case *v1.Part_AirCooler:
		holdAll(s, "", kind.AirCooler, usualCooler, "those of other coolers")
	case *v1.Part_LiquidLoop:
		holdAll(s, "", kind.LiquidLoop, usualLoop, "those of other loops")
	case *v1.Part_Memory:
		holdAll(s, "", kind.Memory, usualMemory, "those of other modules")
	case *v1.Part_Card:
		holdAll(s, "", kind.Card, usualCard, "those of other cards")
	case *v1.Part_Supply:
		holdAll(s, "", kind.Supply, usualSupply, "those of other supplies")
	case *v1.Part_Drive:
		holdAll(s, "", kind.Drive, usualDrive, "those of other drives")
	case *v1.Part_Cable:
		holdAll(s, "", kind.Cable, usualCable, "those of other cables")
		for i, end := range kind.Cable.GetEnds() {
			holdAll(s, cableEnds[i], end, usualCableEnd, "those of other cables")
		}
	case *v1.Part_Riser:
		holdAll(s, "", kind.Riser, usualRiser, "those of other risers")
	}
	if prefix, radiator := radiatorOf(s.it.Part); radiator != nil {
		holdAll(s, prefix, radiator, usualRadiator, "those of other radiators")
	}
	eachFan(s.it.Part, func(prefix string, fan *v1.Fan) {
		holdAll(s, prefix, fan, usualFan, "those of other fans")
	})
}

func holdAll[M any](s *sheet, prefix string, m M, fields []usual[M], what string) {
	for i := range fields {
		u := &fields[i]
		v := u.of(m)
		if v == nil || *v >= u.low && *v <= u.high {
			if v != nil {
				s.held++
			}
			continue
		}
		s.hold(figure{prefix + u.field, v, u.unit, u.low, u.high, between(what, u.low, u.high, u.unit), false})
	}
}

// inPlace tells whether every figure that is given is where those of its kind lie:
// what is worked out from a figure that is not says nothing about the others.
func inPlace[M any](m M, fields []usual[M]) bool {
	for i := range fields {
		if v := fields[i].of(m); v != nil && (*v < fields[i].low || *v > fields[i].high) {
			return false
		}
	}
	return true
}

func usualReads() []string {
	reads := fieldsOf("", usualChassis)
	reads = append(reads, fieldsOf("chassis.limits.", usualLimits)...)
	reads = append(reads, fieldsOf("chassis.layouts.limits.", usualLimits)...)
	reads = append(reads, fieldsOf("", usualBoard)...)
	reads = append(reads, fieldsOf("", usualProcessor)...)
	reads = append(reads, fieldsOf("", usualCooler)...)
	reads = append(reads, fieldsOf("", usualLoop)...)
	reads = append(reads, fieldsOf("liquid_loop.radiator.", usualRadiator)...)
	reads = append(reads, fieldsOf("radiator.", usualRadiator)...)
	reads = append(reads, fieldsOf("", usualMemory)...)
	reads = append(reads, fieldsOf("", usualCard)...)
	reads = append(reads, fieldsOf("", usualSupply)...)
	reads = append(reads, fieldsOf("", usualDrive)...)
	reads = append(reads, fieldsOf("", usualCable)...)
	reads = append(reads, fieldsOf("cable.ends.", usualCableEnd)...)
	reads = append(reads, fieldsOf("", usualRiser)...)
	return append(reads, fieldsOf("fan.", usualFan)...)
}

func fieldsOf[M any](prefix string, fields []usual[M]) []string {
	out := make([]string, len(fields))
	for i := range fields {
		out[i] = prefix + fields[i].field
	}
	return out
}

func sustained(d *v1.Demand) *float64 {
	if d == nil {
		return nil
	}
	return d.SustainedW
}
