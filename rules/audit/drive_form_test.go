package audit

import "testing"

func TestDriveForm(t *testing.T) {
	table(t, "audit.drive-form", []row{
		{"four lanes of generation 4 carry 7.88 GB/s (PCI Express base specification)", "drive: {form_factor: m2, height_mm: 2.3, bus: pcie, generation: 4, lanes: 4, read_gbs: 7.2}", []string{"PASS entry"}},
		{"faster than its link", "drive: {bus: pcie, generation: 4, lanes: 4, read_gbs: 12}", []string{"FAIL entry margin -4.12 GB/s"}},
		{"ten times", "drive: {bus: sata, read_gbs: 5.5}", []string{"FAIL entry margin -4.9 GB/s"}},
		{"inches", "drive: {form_factor: 2.5-inch, height_mm: 0.276}", []string{"FAIL entry margin -4.5 mm"}},
		{"no form", "drive: {height_mm: 7}", []string{"UNKNOWN entry missing items[0].part.drive.form_factor"}},
		{"no bus", "drive: {read_gbs: 7}", []string{"UNKNOWN entry missing items[0].part.drive.bus"}},
		{"no lanes", "drive: {bus: pcie, generation: 4, read_gbs: 7}", []string{"UNKNOWN entry missing items[0].part.drive.generation"}},
		{"nothing", "drive: {capacity_gb: 1000}", nil},
	})
}
