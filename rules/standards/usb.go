package standards

import "slices"

var (
	srcUSBPower   = register("usb-power", "encyclopaedia of USB hardware", "power by revision", Published)
	srcUSBTypeC   = register("usb-type-c-current", "USB Type-C specification", "advertised currents", Memory)
	srcUSBRates   = register("usb-rates", "USB specifications", "signalling rates", Memory)
	srcUSBFuse    = register("front-panel-io-3.2.8", "front panel I/O connectivity design guide", "sections 1.3 and 3.2.8", Published)
	srcFrontPower = register("front-panel-io-2.1", "front panel I/O connectivity design guide", "section 2.1", Published)
)

// USBPower is what a USB port brings.
type USBPower struct {
	// Port names the revision or mode.
	Port string
	// Volt is the bus voltage, Ampere the current; 0 where only the power is
	// bounded.
	Volt, Ampere float64
	// Watt is the power.
	Watt float64
	// Source is that of the row.
	Source Source
}

var usbPowers = []USBPower{
	{"USB 1.x and 2.0", 5, 0.5, 2.5, srcUSBPower},
	{"USB 3.x", 5, 0.9, 4.5, srcUSBPower},
	{"Battery Charging", 5, 1.5, 7.5, srcUSBPower},
	{"Type-C at 1.5 A", 5, 1.5, 7.5, srcUSBTypeC},
	{"Type-C at 3.0 A", 5, 3.0, 15, srcUSBTypeC},
	{"Power Delivery, most", 0, 0, 240, srcUSBPower},
}

// USBPowers returns the power of USB ports.
func USBPowers() []USBPower { return slices.Clone(usbPowers) }

// USBRate is a signalling rate of USB.
type USBRate struct {
	// Token is the document's token.
	Token string
	// GigabitsPerS is the rate in one direction.
	GigabitsPerS float64
	// Source is that of the row.
	Source Source
}

var usbRates = []USBRate{
	{"usb-480mbps", 0.48, srcUSBRates},
	{"usb-5gbps", 5, srcUSBRates},
	{"usb-10gbps", 10, srcUSBRates},
	{"usb-20gbps", 20, srcUSBRates},
	{"usb-40gbps", 40, srcUSBRates},
}

// USBRates returns the rates, ascending.
func USBRates() []USBRate { return slices.Clone(usbRates) }

// USBRateByToken returns one rate, or an [UnknownTokenError].
func USBRateByToken(token string) (USBRate, error) {
	i := slices.IndexFunc(usbRates, func(u USBRate) bool { return u.Token == token })
	if i < 0 {
		return USBRate{}, unknown(VocabUSB, token)
	}
	return usbRates[i], nil
}

// Figures of USB cables and front panels.
var (
	// USBCableBasic is the power of a basic Type-C cable.
	USBCableBasic = figure("basic Type-C cable power", 60, "W", srcUSBPower)
	// USBFuses is the number of fuses in the way of a front port: on the board
	// or in the cable, not both.
	USBFuses = figure("fuses in a front port's supply", 1, "", srcUSBFuse)
)

// FrontPanelSupplySource is the source of the caution that the front-panel
// header's +5 V has no over-current protection and serves inside only.
func FrontPanelSupplySource() Source { return srcFrontPower }
