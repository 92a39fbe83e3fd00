package audit

import (
	"slipfit.example/rules/kit"
)

var chassisVolumeRule = kit.Rule{
	ID: "audit.chassis-volume", Title: "An enclosure's volume against its sides", Since: "0.1.0",
	Why:     "Buyers sort small enclosures by litres; a volume that the sides do not make misleads them, or shows that a side is wrong.",
	Formula: "The stated volume is held against width times height times depth, a fifth to either side for feet and what sticks out.",
	Sources: []source{arithmetic},
	Reads:   []string{"chassis.width_mm", "chassis.height_mm", "chassis.depth_mm", "chassis.volume_l"},
	Texts: texts("The volume of {part} is that of its sides.",
		"Whether the volume of {part} is right cannot be told without {missing}; a rule across the panels tells it."),
	Remedies: remedies(),
	Judge:    each(judgeChassisVolume),
}

const volumePlay = 0.2

func judgeChassisVolume(s *sheet) {
	chassis := s.it.Part.GetChassis()
	if chassis == nil || chassis.VolumeL == nil {
		return
	}
	for _, side := range []struct {
		field string
		v     *float64
	}{{"chassis.width_mm", chassis.WidthMm}, {"chassis.height_mm", chassis.HeightMm}, {"chassis.depth_mm", chassis.DepthMm}} {
		if side.v == nil {
			s.lack(side.field, "mm")
			return
		}
	}
	if !inPlace(chassis, usualChassis[:3]) {
		return
	}
	litres := *chassis.WidthMm * *chassis.HeightMm * *chassis.DepthMm / 1e6
	s.hold(figure{"chassis.volume_l", chassis.VolumeL, "l", litres * (1 - volumePlay), litres * (1 + volumePlay),
		func() string { return "its sides make " + kit.FormatNumber(litres, "l") }, false},
		s.given("chassis.width_mm", chassis.WidthMm, "mm"), s.given("chassis.height_mm", chassis.HeightMm, "mm"),
		s.given("chassis.depth_mm", chassis.DepthMm, "mm"))
}
