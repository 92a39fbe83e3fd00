package power

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var usbPorts = kit.Rule{
	ID: "power.usb-ports", Title: "What front USB ports may draw", Since: "0.1.0", Alone: true,
	Why: "What is plugged in at the front is fed from the 5 V rail. Drives and chargers on every port at once can pass what the rail has left, " +
		"and then the whole machine loses it.",
	Formula: "The 5 V rail's rated current less what the parts draw from it, less the greatest current of every front port: " +
		"0.5 A on a USB 2.0 port, 0.9 A on a USB 3 port, 3 A on a Type-C port, two ports on a header of the older kinds and one on a Type-C header.",
	Parameters: []*kit.Parameter{&kit.PowerTolerance},
	Sources:    usbSources(),
	Reads:      []string{"chassis.front_leads", "supply.rails"},
	Texts: map[string]string{
		"pass":     "{ports} front USB ports may draw {measured}, and the 5 V rail has {required} left for them.",
		"marginal": "{ports} front USB ports may draw {measured} if all are loaded to the full, and the 5 V rail has only {required} left for them.",
		"fail":     "{ports} front USB ports may draw {measured}, and the 5 V rail has only {required} left for them.",
		"unknown":  "Whether the 5 V rail bears {ports} front USB ports cannot be told for want of {missing}; the supply's label prints the rail's current.",
	},
	Remedies: map[string]string{
		"fewer": "Keep what draws much off the front ports, or feed it from a supply of its own.",
	},
	Judge: judgeUSBPorts,
}

// usbLead is what one front lead brings to the front.
type usbLead struct {
	header string
	ports  int
	row    standards.USBPower
}

// usbLeads are the leads with ports that draw, by the header that they plug into.
var usbLeads = func() (leads []usbLead) {
	for _, l := range []struct {
		header, row string
		ports       int
	}{
		{"usb2-header", "USB 1.x and 2.0", 2},
		{"usb3-19", "USB 3.x", 2},
		{"usb-c-key-a", "Type-C at 3.0 A", 1},
	} {
		for _, row := range standards.USBPowers() {
			if row.Port == l.row {
				leads = append(leads, usbLead{l.header, l.ports, row})
			}
		}
	}
	return leads
}()

func usbSources() (sources []standards.Source) {
	for _, l := range usbLeads {
		if len(sources) == 0 || sources[len(sources)-1].ID != l.row.Source.ID {
			sources = append(sources, l.row.Source)
		}
	}
	return append(sources, srcRailRating)
}

func judgeUSBPorts(c *kit.Case) {
	s := surveyOf(c)
	chassis := c.First(kit.KindChassis)
	if chassis == nil || s.supply == nil {
		return // other rules say that one is missing
	}
	ports, amps := 0, 0.0
	for _, lead := range chassis.Part.GetChassis().GetFrontLeads() {
		for _, l := range usbLeads {
			if lead.GetHeader() == l.header {
				ports += l.ports
				amps += float64(l.ports) * l.row.Ampere
			}
		}
	}
	if ports == 0 {
		return
	}
	s.shareOut()
	rating, _, _ := s.railRating(c, rail5)
	left := c.Derived(rating.Range.Sub(s.rails[rail5].watts.Scale(1/nominalVolts[rail5])), "A", rating)
	if s.rails[rail5].gap {
		left = c.Derived(quantity.Range{}, "A", append(s.gaps, rating)...)
	}
	// Every port at its greatest at once is rare, so a shortage warns.
	all := kit.Constant(amps, "A")
	if c.SpareAtMost(all, left) {
		return
	}
	f := c.AtMost(all, left).AtWorst(kit.Marginal)
	f.About(s.supply, chassis).Number("ports", kit.Constant(float64(ports), "")).Remedy("fewer")
}
