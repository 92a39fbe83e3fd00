package power

import (
	"math"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var (
	bridgeFactor = kit.Parameter{
		Name: "power.bridging.output_factor", Unit: "", Default: standards.UPSPowerFactor.Value, Least: 0.3, Greatest: 1,
		Purpose: "How many watts an uninterruptible supply gives for each of its volt-amperes.",
		Source:  standards.UPSPowerFactor.Source,
	}
	bridgeReserve = kit.Parameter{
		Name: "power.bridging.reserve_share", Unit: "share", Default: 0.2, Least: 0, Greatest: 0.9,
		Purpose: "How much of an uninterruptible supply's capacity stays free, for ageing and for what else is plugged in.",
		Source:  kit.CommonPractice,
	}
	bridgeLoss = kit.Parameter{
		Name: "power.bridging.inverter_share", Unit: "share", Default: 0.85, Least: 0.3, Greatest: 1,
		Purpose: "How much of its battery's energy an uninterruptible supply's inverter hands on.",
		Source:  kit.CommonPractice,
	}
	bridgeBattery = kit.Parameter{
		Name: "power.bridging.battery_share", Unit: "share", Default: 0.5, Least: 0.1, Greatest: 1,
		Purpose: "How much of its printed energy a battery gives when it is emptied within minutes and no longer new.",
		Source:  kit.CommonPractice,
	}
)

var bridging = kit.Rule{
	ID: "power.bridging", Title: "Size of an uninterruptible supply", Since: "0.1.0",
	Why: "An uninterruptible supply has two limits, volt-amperes and watts, and its battery a third; " +
		"one that is too small switches off in the very moment that it was bought for.",
	Formula: "Volt-amperes: the greater of mains power over the output factor and mains power over the build's power factor, over one less the reserve. " +
		"Battery: mains power times the minutes to bridge, over what the inverter and an aged battery hand on.",
	Parameters: []*kit.Parameter{&bridgeFactor, &bridgeReserve, &bridgeLoss, &bridgeBattery, &kit.PowerTolerance},
	Sources:    []standards.Source{standards.UPSPowerFactor.Source, standards.EfficiencyMarks()[0].Source, kit.CommonPractice},
	Reads: []string{
		"use.bridge_minutes", "use.loads", "room.mains_v", "supply.efficiencies", "supply.efficiency_mark", "supply.power_factor", "supply.rated_w",
	},
	Texts: map[string]string{
		"pass": "To bridge {minutes} at {mains} from the mains takes an uninterruptible supply of at least {va} and {watts}, " +
			"with a battery of {battery} when new.",
		"fail": "No uninterruptible supply can bridge {minutes}.",
		"unknown": "Which uninterruptible supply bridges {minutes} cannot be told for want of {missing}; " +
			"data sheets list what parts draw.",
	},
	Cautions: map[string]string{
		"battery": "{code} An uninterruptible supply stays live when it is unplugged; its battery can give hundreds of amperes and is replaced by the rules of its maker.",
	},
	Judge: judgeBridging,
}

func judgeBridging(c *kit.Case) {
	s := surveyOf(c)
	use := c.Build.GetUse()
	if s.supply == nil || use == nil || use.BridgeMinutes == nil {
		return
	}
	minutes := c.Given(kit.Path{Field: "use.bridge_minutes"}, use.BridgeMinutes, "min")
	mains, _, evidence := s.fromMains(c)
	factor := s.powerFactor(c)
	free := 1 - c.Parameter(&bridgeReserve).Nominal
	va := 0.0
	if factor.Known() {
		va = mains.High / free / min(c.Parameter(&bridgeFactor).Nominal, factor.Low)
	}
	stored := mains.High * minutes.Nominal / 60 / (c.Parameter(&bridgeLoss).Nominal * c.Parameter(&bridgeBattery).Nominal)
	c.Judged(kit.Pass, mains).Using(evidence...).Using(factor).Despite(minutes).About(s.supply).
		Number("minutes", minutes).Number("mains", mains).Number("va", kit.Constant(math.Ceil(va), "VA")).
		Number("watts", kit.Constant(math.Ceil(mains.High/free), "W")).Number("battery", kit.Constant(math.Ceil(stored), "Wh")).
		Caution("battery").Word("code", standards.MainsCaution)
}
