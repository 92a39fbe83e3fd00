package thermal

import "slipfit.example/rules/standards"

var (
	srcBalance = standards.Source{
		ID: "air-heat-balance", Title: "heat balance of an air stream, P = rho cp Q dT", Standing: standards.Derived, Witnesses: 1,
	}
	srcAtmosphere = standards.Source{
		ID: "us-standard-atmosphere-1976", Title: "U.S. Standard Atmosphere 1976, pressure by altitude", Standing: standards.Published, Witnesses: 1,
	}
	srcRatedHeat = standards.Source{
		ID: "cooler-rated-heat", Title: "heat that the cooler's maker rates it for; no standard says how it is measured",
		Standing: standards.CommonPractice, Witnesses: 1,
	}
	srcChain = standards.Source{
		ID: "thermal-resistances", Title: "thermal resistances in series, T = T_air + P (R1 + R2)", Standing: standards.Derived, Witnesses: 1,
	}
	srcConvection = standards.Source{
		ID: "forced-convection-exponent", Title: "boundary-layer theory of plates, heat transfer with the 0.5 to 0.8 power of mass flow",
		Standing: standards.Derived, Witnesses: 1,
	}
	srcLid = standards.Source{
		ID: "die-to-lid", Title: "resistance from die to lid of desktop processors", Standing: standards.Memory, Witnesses: 1,
	}
	srcNetwork = standards.Source{
		ID: "flow-and-heat-network", Title: "network of flow resistances, fan curves and heat paths; Todini and Pilati 1988 for its flows",
		Standing: standards.Derived, Witnesses: 1,
	}
	srcPlate = standards.Source{
		ID: "laminar-plate", Title: "laminar flow along a plate, Nu = 0.664 Re^0.5 Pr^0.33 (heat transfer textbooks)",
		Standing: standards.Memory, Witnesses: 1,
	}
	srcMemory = standards.Source{
		ID: "jedec-temperature-range", Title: "normal temperature range of memory chips in the JEDEC standards of DDR4 and DDR5", Standing: standards.Memory, Witnesses: 1,
	}
	srcSpeedLaw = standards.Source{
		ID: "fan-noise-speed", Title: "50 to 60 lg of speed, and sums of levels", Standing: standards.CommonPractice, Witnesses: 1,
	}
)

type sourceOf = standards.Source
