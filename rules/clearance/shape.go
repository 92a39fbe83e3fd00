package clearance

import v1 "slipfit.example/proto/slipfit/v1"

// firstLike is the first part seen of which a plan makes the same as of this one: of two
// supplies that differ in their power alone, say. Plans are shared by it.
func (s *store) firstLike(part *v1.Part) *v1.Part {
	if !mayBeAlike(part) {
		return part
	}
	s.mu.Lock()
	first, ok := s.alike.get(&part)
	s.mu.Unlock()
	if ok {
		return first
	}
	shape, err := shapeOf(part).MarshalVT()
	if err != nil {
		return part
	}
	key := string(shape)
	s.mu.Lock()
	defer s.mu.Unlock()
	if first, ok = s.shapes.get(&key); !ok {
		first = part
		s.shapes.put(&key, part)
	}
	s.alike.put(&part, first)
	return first
}

// mayBeAlike reports whether parts of a kind come in many that differ in what no box
// depends on.
func mayBeAlike(part *v1.Part) bool {
	switch part.GetKind().(type) {
	case *v1.Part_Supply, *v1.Part_Memory, *v1.Part_AirCooler, *v1.Part_Card, *v1.Part_Fan:
		return true
	}
	return false
}

// shapeOf is all of a part that its boxes, its places and its cables depend on.
func shapeOf(part *v1.Part) *v1.Part {
	out := &v1.Part{Kit: part.Kit, Bodies: part.Bodies, Figures: part.Figures}
	switch kind := part.GetKind().(type) {
	case *v1.Part_Supply:
		u := kind.Supply
		out.Kind = &v1.Part_Supply{Supply: &v1.Supply{
			FormFactor: u.FormFactor, WidthMm: u.WidthMm, HeightMm: u.HeightMm, LengthMm: u.LengthMm,
			Outlets: u.Outlets, Pinout: u.Pinout, Cables: u.Cables, Fan: u.Fan,
		}}
	case *v1.Part_Memory:
		m := kind.Memory
		out.Kind = &v1.Part_Memory{Memory: &v1.Memory{Kind: m.Kind, Module: m.Module, Modules: m.Modules, HeightMm: m.HeightMm}}
	case *v1.Part_AirCooler:
		c := kind.AirCooler
		out.Kind = &v1.Part_AirCooler{AirCooler: &v1.AirCooler{
			HeightMm: c.HeightMm, WidthMm: c.WidthMm, DepthMm: c.DepthMm, MemoryClearanceMm: c.MemoryClearanceMm,
			OverMemory: c.OverMemory, Fans: c.Fans, Tower: c.Tower,
		}}
	case *v1.Part_Card:
		c := kind.Card
		out.Kind = &v1.Part_Card{Card: &v1.Card{
			LengthMm: c.LengthMm, HeightMm: c.HeightMm, ThicknessMm: c.ThicknessMm, Slots: c.Slots, WidthLanes: c.WidthLanes,
			PowerSockets: c.PowerSockets, FlowThrough: c.FlowThrough, Blower: c.Blower, Fans: c.Fans,
		}}
	case *v1.Part_Fan:
		f := kind.Fan
		out.Kind = &v1.Part_Fan{Fan: &v1.Fan{
			SizeMm: f.SizeMm, ThicknessMm: f.ThicknessMm, CanStop: f.CanStop, Header: f.Header, AddressableLight: f.AddressableLight,
			HolePitchMm: f.HolePitchMm, LeadMm: f.LeadMm,
		}}
	}
	return out
}
