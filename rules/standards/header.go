package standards

import (
	"fmt"
	"slices"
)

// Tokens of the internal headers.
const (
	HeaderUSB2       = "usb2-header"
	HeaderUSB3       = "usb3-19"
	HeaderUSBC       = "usb-c-key-a"
	HeaderHDAudio    = "hd-audio"
	HeaderFrontPanel = "front-panel"
)

var (
	srcHeaderUSB2  = register("board-tps-usb2", "desktop board technical product specification", "tables 10 and 11, USB 2.0 header", Published)
	srcHeaderAudio = register("board-tps-audio", "desktop board technical product specification", "tables 6 and 7, front audio header", Published)
	srcHeaderUSB3  = register("usb3-internal", "USB 3 internal connector and cable specification", "19-pin and key-A headers", Memory)
	srcHeaderFront = register("front-panel-io-2.2", "front panel I/O connectivity design guide", "layout 2.2, pin numbers", Memory)
	srcHeaderPower = register("usb2-header-budget", "USB 2.0 power", "two ports of 500 mA", Derived)
	srcSATARate    = register("sata-rate", "Serial ATA revision 3", "line rate and coding, as described", Published)
	srcSATACable   = register("sata-cable", "Serial ATA specification", "cable length", Memory)
)

// Header is an internal header of a board.
type Header struct {
	// Token and Name are the document's token and the trade's name.
	Token, Name string
	// Positions counts the header's places, the key's included.
	Positions int
	// KeyPin is the place without a pin; 0 where the shell makes the key.
	KeyPin int
	// Ports is the number of USB ports that it feeds; 0 for other headers.
	Ports int
	// GigabitsPerS is the rate per port; 0 for other headers.
	GigabitsPerS float64
	// Signals are the functions, Signals[0] belongs to pin 1; empty where the
	// pins are not known.
	Signals []string
	// Source is that of the row.
	Source Source
}

var headers = []Header{
	{HeaderUSB2, "2x5 USB 2.0 header", 10, 9, 2, 0.48,
		[]string{"+5 V", "+5 V", "D-", "D-", "D+", "D+", "ground", "ground", "key", "NC"}, srcHeaderUSB2},
	{HeaderUSB3, "19-pin USB 3 header", 20, 20, 2, 5, nil, srcHeaderUSB3},
	{HeaderUSBC, "key-A front USB-C header", 20, 0, 1, 10, nil, srcHeaderUSB3},
	{HeaderHDAudio, "2x5 front audio header", 10, 8, 0, 0,
		[]string{"microphone left", "ground", "microphone right", "PRESENCE#", "phone right", "SENSE1 return", "SENSE_SEND", "key", "phone left", "SENSE2 return"}, srcHeaderAudio},
	{HeaderFrontPanel, "2x5 switch and light header", 10, 10, 0, 0,
		[]string{"drive light +", "power light +", "drive light -", "power light -", "reset switch", "power switch", "reset switch", "power switch", "+5 V", "key"}, srcHeaderFront},
}

// Headers returns the internal headers.
func Headers() []Header {
	out := slices.Clone(headers)
	for i := range out {
		out[i].Signals = slices.Clone(out[i].Signals)
	}
	return out
}

// HeaderByToken returns one internal header, or an [UnknownTokenError].
func HeaderByToken(token string) (Header, error) {
	i := slices.IndexFunc(headers, func(h Header) bool { return h.Token == token })
	if i < 0 {
		return Header{}, unknown(VocabHeader, token)
	}
	h := headers[i]
	h.Signals = slices.Clone(h.Signals)
	return h, nil
}

// HeaderMates tells whether a cable's plug goes onto a board's header. Equal
// tokens do, also unknown ones; an unknown token beside another is an
// [UnknownTokenError].
func HeaderMates(plug, header string) (Answer, error) {
	if plug == header {
		a := Answer{true, fmt.Sprintf("plug and header are both %s", plug), srcSameToken}
		if h, err := HeaderByToken(plug); err == nil {
			a.Source = h.Source
		}
		return a, nil
	}
	p, err := HeaderByToken(plug)
	if err != nil {
		return Answer{}, fmt.Errorf("the plug cannot be compared with the header: %w", err)
	}
	h, err := HeaderByToken(header)
	if err != nil {
		return Answer{}, fmt.Errorf("the header cannot be compared with the plug: %w", err)
	}
	reason := fmt.Sprintf("a plug for the %s has another shape than the %s", p.Name, h.Name)
	if p.Positions == h.Positions && p.KeyPin > 0 && h.KeyPin > 0 {
		reason = fmt.Sprintf("a plug for the %s is keyed at pin %d, the %s at pin %d", p.Name, p.KeyPin, h.Name, h.KeyPin)
	}
	return Answer{false, reason, Weaker(p.Source, h.Source)}, nil
}

// HeaderPorts tells whether so many front ports fit on so many equal headers.
func HeaderPorts(header string, headers, ports int) (Answer, error) {
	h, err := HeaderByToken(header)
	if err != nil {
		return Answer{}, err
	}
	if h.Ports == 0 {
		return Answer{}, fmt.Errorf("the %s feeds no USB ports; give a USB header", h.Name)
	}
	if headers < 0 || headers > 1000 || ports < 0 || ports > 1000 {
		return Answer{}, fmt.Errorf("%d headers and %d ports are out of range; give numbers from 0 to 1000", headers, ports)
	}
	return Answer{ports <= headers*h.Ports,
		fmt.Sprintf("%d times %s feeds %d ports and %d are wanted", headers, h.Name, headers*h.Ports, ports), h.Source}, nil
}

// Figures of headers and SATA.
var (
	// USB2HeaderAmpere is the current of a two-port USB 2.0 header on +5 V.
	USB2HeaderAmpere = figure("two-port USB 2.0 header current", 1.0, "A", srcHeaderPower)
	// SATALineRate and SATACodingShare give [SATAMegabytesPerS].
	SATALineRate    = figure("SATA line rate", 6, "Gb/s", srcSATARate)
	SATACodingShare = figure("SATA coding share", 0.8, "", srcSATARate)
	// SATACableLength is the longest internal data cable.
	SATACableLength = figure("SATA data cable, longest", 1000, "mm", srcSATACable)
)

// SATAMegabytesPerS returns the data rate after 8b/10b coding.
func SATAMegabytesPerS() float64 { return SATALineRate.Value * SATACodingShare.Value / 8 * 1000 }
