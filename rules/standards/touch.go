package standards

import (
	"fmt"
	"slices"
)

const touchStandard = "IEC 62368-1"

var (
	srcTouch       = drawings("iec-62368-1-table38", touchStandard, "table 38, values quoted in a standards discussion", 1)
	srcTouchMemory = register("iec-62368-1-table38-memory", touchStandard, "table 38, remaining values", Memory)
	srcSkin        = drawings("skin-burn", "standards discussion of touch temperatures", "skin burn", 1)
	srcESD         = register("s20.20-2021", "ANSI/ESD S20.20-2021", "scope and limits", Published)
	srcESDResistor = register("wrist-strap-resistor", "wrist strap cord resistor", "", Memory)
	srcSharp       = register("thermal-mechanical-6.5", "thermal and mechanical design guide for desktop processors", "section 6.5, edges to UL 1439", Published)
	srcSupplyOpen  = register("supply-never-open", "college safety page and study page", "power supplies", Published)
	srcUnplug      = register("unplug-first", "installation guide safety page and study page", "before opening", Published)
	srcSeating     = register("12v-2x6-seating", "seating of 12V-2x6 plugs", "", Memory)
	srcModular     = register("modular-cables", "modular supply cables", "", Memory)
)

// Durations of contact, for [TouchLimitFor].
const (
	// ContactHeld is longer than a minute.
	ContactHeld = "held"
	// ContactLong is 10 s to a minute.
	ContactLong = "10-60 s"
	// ContactShort is 1 s to 10 s.
	ContactShort = "1-10 s"
	// ContactTouch is shorter than a second.
	ContactTouch = "under 1 s"
)

// Materials of touched surfaces.
const (
	SurfaceMetal   = "metal"
	SurfaceGlass   = "glass"
	SurfacePlastic = "plastic"
)

// TouchLimit is the temperature limit of a touched surface, measured in a room
// of 25 degrees Celsius and not scaled to a warmer one.
type TouchLimit struct {
	// Surface and Contact are the keys.
	Surface, Contact string
	// TS1C is the limit for anybody; TS2C the one for people who know.
	TS1C, TS2C float64
	// TS2OtherC is what another edition gives for TS2, or 0.
	TS2OtherC float64
	// Source is that of TS1C, TS2Source that of TS2C.
	Source, TS2Source Source
}

var touchLimits = []TouchLimit{
	{SurfaceMetal, ContactHeld, 48, 58, 0, srcTouch, srcTouchMemory},
	{SurfaceGlass, ContactHeld, 48, 58, 0, srcTouch, srcTouchMemory},
	{SurfacePlastic, ContactHeld, 48, 58, 0, srcTouch, srcTouchMemory},
	{SurfaceMetal, ContactLong, 51, 61, 0, srcTouchMemory, srcTouchMemory},
	{SurfaceGlass, ContactLong, 56, 66, 0, srcTouchMemory, srcTouchMemory},
	{SurfacePlastic, ContactLong, 60, 70, 0, srcTouchMemory, srcTouchMemory},
	{SurfaceMetal, ContactShort, 60, 70, 0, srcTouchMemory, srcTouchMemory},
	{SurfaceGlass, ContactShort, 71, 81, 0, srcTouchMemory, srcTouchMemory},
	{SurfacePlastic, ContactShort, 77, 87, 0, srcTouch, srcTouchMemory},
	{SurfaceMetal, ContactTouch, 70, 80, 100, srcTouchMemory, srcTouchMemory},
	{SurfaceGlass, ContactTouch, 85, 95, 100, srcTouchMemory, srcTouchMemory},
	{SurfacePlastic, ContactTouch, 94, 104, 0, srcTouch, srcTouchMemory},
}

// TouchLimits returns the touch-temperature table.
func TouchLimits() []TouchLimit { return slices.Clone(touchLimits) }

// TouchLimitFor returns the limit of a surface for a duration of contact.
func TouchLimitFor(surface, contact string) (TouchLimit, error) {
	for _, t := range touchLimits {
		if t.Surface == surface && t.Contact == contact {
			return t, nil
		}
	}
	return TouchLimit{}, fmt.Errorf("no touch temperature is tabled for surface %q and contact %q; surfaces are %s, %s and %s, contacts %q, %q, %q and %q",
		shorten(surface), shorten(contact), SurfaceMetal, SurfaceGlass, SurfacePlastic, ContactHeld, ContactLong, ContactShort, ContactTouch)
}

// TouchClass is a thermal energy class: 1 for anybody, 2 for people who know, 3
// beyond both.
type TouchClass int

// Class returns the class of a surface temperature under a limit. Not a number
// counts as class 3, never as safe.
func (t TouchLimit) Class(celsius float64) TouchClass {
	switch {
	case celsius <= t.TS1C:
		return 1
	case celsius <= t.TS2C:
		return 2
	default:
		return 3
	}
}

// Figures of burns and discharges.
var (
	// SkinBurn is the skin temperature of a first-degree burn on long contact.
	SkinBurn = figure("skin temperature of a first-degree burn", 44, "degC", srcSkin)
	// ESDBodyModel and ESDDeviceModel are the lowest sensitivities covered.
	ESDBodyModel   = figure("discharge sensitivity, human body model", 100, "V", srcESD)
	ESDDeviceModel = figure("discharge sensitivity, charged device model", 200, "V", srcESD)
	// ESDIsolated is the voltage that isolated conductors stay below.
	ESDIsolated = figure("isolated conductor voltage", 35, "V", srcESD)
	// WristStrapLimit is what person and strap to ground stay below, and
	// WristStrapResistor the cord's series resistor.
	WristStrapLimit    = figure("wrist strap path resistance", 35e6, "ohm", srcESD)
	WristStrapResistor = figure("wrist strap cord resistor", 1e6, "ohm", srcESDResistor)
)

// WristStrapOK reports whether a path from person to ground is below the limit;
// a resistance that is no number is not.
func WristStrapOK(ohm float64) bool { return ohm >= 0 && ohm < WristStrapLimit.Value }

// Caution is a sentence for work that can hurt somebody or destroy parts.
type Caution struct {
	// Topic is short and unique; Text is the sentence.
	Topic, Text string
	// Source is that of the caution.
	Source Source
}

var cautions = []Caution{
	{"supply inside", "Never open a power supply: it holds its charge after it is unplugged, and its voltages kill.", srcSupplyOpen},
	{"unplug", "Pull the mains cord before a panel comes off: standby power stays on until the cord is out.", srcUnplug},
	{"sharp edges", "Fins and sheet edges cut: wear gloves and lift parts by their frames.", srcSharp},
	{"energy hazard", "A 12 V rail that may exceed 240 VA melts metal: take rings and watches off and keep tools away while it is live.", srcEnergyHazard},
	{"plug seating", "Push a 12V-2x6 plug in until the latch clicks and no gap shows; a plug that is not home overheats.", srcSeating},
	{"modular cables", "Never mix supply-side cables between supply families: their pin-out is not standardised and a wrong one destroys parts.", srcModular},
	{"mains wiring", MainsCaution, srcNECBranch},
}

// Cautions returns the cautions.
func Cautions() []Caution { return slices.Clone(cautions) }

// CautionOn returns the caution on a topic.
func CautionOn(topic string) (Caution, bool) {
	i := slices.IndexFunc(cautions, func(c Caution) bool { return c.Topic == topic })
	if i < 0 {
		return Caution{}, false
	}
	return cautions[i], true
}
