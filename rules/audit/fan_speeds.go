package audit

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var fanSpeedsRule = kit.Rule{
	ID: "audit.fan-speeds", Title: "A fan's speeds, currents and sound in order", Since: "0.1.0",
	Why:     "A least speed above the greatest, or a current that falls at the start, shows figures in each other's place.",
	Formula: "The least speed stays at or below the greatest, the current at the start at or above the steady one, sound figures stand at speeds that the fan reaches and between -5 and 75 dB(A).",
	Sources: []source{arithmetic, experience},
	Reads: []string{
		"fan.min_speed_rpm", "fan.max_speed_rpm", "fan.current_a", "fan.start_current_a", "fan.noises.speed_rpm", "fan.noises.level_dba",
	},
	Texts: texts("Speeds, currents and sound of {part} are in order.",
		"Whether the least speed of {part} is plausible cannot be told without {missing}; data sheets print the greatest speed."),
	Remedies: remedies(),
	Judge:    each(judgeFanSpeeds),
}

func judgeFanSpeeds(s *sheet) {
	eachFan(s.it.Part, func(prefix string, fan *v1.Fan) {
		switch greatest := fan.MaxSpeedRpm; {
		case fan.MinSpeedRpm == nil && len(fan.Noises) == 0:
		case greatest == nil:
			s.lack(prefix+"max_speed_rpm", "rpm")
		default:
			s.hold(figure{prefix + "min_speed_rpm", fan.MinSpeedRpm, "rpm", 0, *greatest,
				func() string { return "its greatest speed is " + kit.FormatNumber(*greatest, "rpm") }, true})
			for i, noise := range fan.Noises {
				holdNoise(s, prefix, i, noise, *greatest)
			}
		}
		if steady := fan.CurrentA; steady != nil {
			s.hold(figure{prefix + "start_current_a", fan.StartCurrentA, "A", *steady * 0.95, *steady * 15,
				between("currents at the start beside that steady current", *steady, *steady*15, "A"), false})
		}
	})
}

func holdNoise(s *sheet, prefix string, i int, noise *v1.NoisePoint, greatest float64) {
	level, speed := noise.LevelDba, noise.SpeedRpm
	if level != nil && (*level < -5 || *level > 75) {
		s.hold(figure{prefix + "noises[" + strconv.Itoa(i) + "].level_dba", level, "dB(A)", -5, 75,
			between("levels of such fans", -5, 75, "dB(A)"), true})
	}
	if speed != nil && *speed > greatest*1.05 {
		s.hold(figure{prefix + "noises[" + strconv.Itoa(i) + "].speed_rpm", speed, "rpm", 0, greatest * 1.05,
			func() string { return "its greatest speed is " + kit.FormatNumber(greatest, "rpm") }, true})
	}
}
