//go:build !linux

package batch

// onFullDisk is of use on Linux alone.
const onFullDisk = "SLIPFIT_TEST_FULL_DISK"

func fillDisk(string) error { return nil }
