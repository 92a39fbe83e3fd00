package batch

import (
	"path/filepath"
	"strings"
	"testing"
)

// BenchmarkCommit is one chunk of answers written for good: two syncs.
func BenchmarkCommit(b *testing.B) {
	j, err := openJournal(realDisk{}, filepath.Join(b.TempDir(), "out.ndjson.zst"), "bench")
	if err != nil {
		b.Fatal(err)
	}
	defer j.close()
	answers := []byte(strings.Repeat(`{"line":1,"verdict":"PASS"}`+"\n", 256))
	for b.Loop() {
		at := j.at
		at.Through += 256
		if err := j.commit(answers, at); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(256*float64(b.N)/b.Elapsed().Seconds(), "lines/s")
}
