package audit

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
)

// catalogue is so many invented entries as lines of JSON.
func catalogue(tb testing.TB, entries int) []byte {
	tb.Helper()
	m := maker{rand.New(rand.NewPCG(7, 7))}
	var b bytes.Buffer
	for i := range entries {
		p := m.entry()
		id, name := fmt.Sprintf("entry-%d", i), fmt.Sprintf("Vogel %d", i)
		p.Id, p.Name = &id, &name
		line, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(p)
		if err != nil {
			tb.Fatal(err)
		}
		b.Write(line)
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// BenchmarkAudit gives entries a second from lines of JSON to judged results, and
// the memory that is held at the end.
func BenchmarkAudit(b *testing.B) {
	const entries = 20_000
	text := catalogue(b, entries)
	a := auditor(b)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := a.Run(context.Background(), Documents("c.ndjson", bytes.NewReader(text), nil), DefaultReach, func(*Result) error { return nil }); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(entries)*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
}

// BenchmarkMemory audits ten times as many entries and reports how much more memory
// is held: with doubles looked for in a bounded reach it does not grow.
func BenchmarkMemory(b *testing.B) {
	a := auditor(b)
	held := func(text []byte, rounds int) float64 {
		var peak uint64
		for range rounds {
			n := 0
			if _, err := a.Run(context.Background(), Documents("c.ndjson", bytes.NewReader(text), nil), 2000, func(*Result) error {
				if n++; n%5000 == 0 {
					runtime.GC()
					var m runtime.MemStats
					runtime.ReadMemStats(&m)
					peak = max(peak, m.HeapAlloc)
				}
				return nil
			}); err != nil {
				b.Fatal(err)
			}
		}
		return float64(peak) / (1 << 20)
	}
	text := catalogue(b, 10_000)
	for b.Loop() {
		one := held(text, 1)
		ten := held(text, 10)
		b.ReportMetric(one, "MiB/10k")
		b.ReportMetric(ten, "MiB/100k")
	}
}
