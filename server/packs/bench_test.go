//go:build linux

package packs

import (
	"errors"
	"testing"
	"time"
)

// BenchmarkStart is the time from the failure of a pack to the next instance that
// is ready: with a start, and with a spare that is there already.
func BenchmarkStart(b *testing.B) {
	for _, c := range []struct {
		name string
		o    Options
	}{
		{"cold", Options{NoTLS: true}},
		{"cold-certificates", Options{}},
		{"spare", Options{NoTLS: true, Spare: true}},
		{"spare-certificates", Options{Spare: true}},
	} {
		b.Run(c.name, func(b *testing.B) {
			c.o.Restart = Restart{Stable: time.Nanosecond}
			s := supervise(b, c.o, self(b, "air", "serves"))
			p := s.Pack("air")
			b.ResetTimer()
			for range b.N {
				b.StopTimer()
				i := live(b, p)
				if c.o.Spare {
					eventually(b, 20*time.Second, "no spare", func() bool { return p.Status().Spare })
				}
				b.StartTimer()
				i.Recycle(errors.New("the benchmark wants it"))
				liveAfter(b, p, i)
			}
		})
	}
}

// BenchmarkRoundTrip is one batch with one task of 6 KiB, on a stream of its own.
func BenchmarkRoundTrip(b *testing.B) {
	for _, c := range []struct {
		name string
		o    Options
	}{{"plain", Options{NoTLS: true}}, {"certificates", Options{}}} {
		b.Run(c.name, func(b *testing.B) {
			s := supervise(b, c.o, self(b, "air", "serves"))
			i := live(b, s.Pack("air"))
			order := "echo " + string(make([]byte, 6<<10))
			b.ReportAllocs()
			for b.Loop() {
				mustTell(b, i, order)
			}
		})
	}
}
