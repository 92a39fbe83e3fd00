package audit

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var driveFormRule = kit.Rule{
	ID: "audit.drive-form", Title: "A drive's height and rate against its form and bus", Since: "0.1.0",
	Why:     "The form factor bounds a drive's height, and its bus what it can read; a figure beyond either is another drive's or slipped.",
	Formula: "The height is held against those of the form factor, the read rate against the bus: lanes times the rate of their generation, or that of SATA.",
	Sources: []source{standards.LinkSource(), experience},
	Reads: []string{
		"drive.form_factor", "drive.height_mm", "drive.m2_size", "drive.bus", "drive.generation", "drive.lanes", "drive.read_gbs",
	},
	Texts: texts("Height and rate of {part} go with its form and bus.",
		"Whether height and rate of {part} are plausible cannot be told without {missing}; data sheets print form, bus and lanes."),
	Remedies: remedies(),
	Judge:    each(judgeDriveForm),
}

// heights of drives by form factor, in mm: common practice, no source; M.2 modules
// with their heatsink.
var driveHeights = map[string][2]float64{"m2": {1.2, 32}, "2.5-inch": {4.8, 20}, "3.5-inch": {14, 43}}

func judgeDriveForm(s *sheet) {
	drive := s.it.Part.GetDrive()
	if drive == nil {
		return
	}
	if drive.HeightMm != nil && drive.FormFactor == nil {
		s.lack("drive.form_factor", "")
		return
	}
	if ends, ok := driveHeights[drive.GetFormFactor()]; ok {
		s.hold(figure{"drive.height_mm", drive.HeightMm, "mm", ends[0], ends[1],
			between("heights of such drives", ends[0], ends[1], "mm"), false})
	}
	if drive.ReadGbs != nil {
		holdRate(s, drive)
	}
}

func holdRate(s *sheet, drive *v1.Drive) {
	switch drive.GetBus() {
	case "":
		s.lack("drive.bus", "")
	case "sata":
		s.hold(figure{"drive.read_gbs", drive.ReadGbs, "GB/s", 0.08, standards.SATAMegabytesPerS() / 1000,
			between("rates of SATA drives", 0.08, standards.SATAMegabytesPerS()/1000, "GB/s"), false})
	case "pcie":
		if drive.Generation == nil || drive.Lanes == nil {
			s.lack("drive.generation", "")
			return
		}
		link, err := (standards.Link{Generation: int(*drive.Generation), Lanes: int(*drive.Lanes)}).GigabytesPerS()
		if err != nil {
			return
		}
		s.hold(figure{"drive.read_gbs", drive.ReadGbs, "GB/s", link * 0.15, link,
			between("rates of drives with that generation and lanes", link*0.15, link, "GB/s"), false})
	}
}
