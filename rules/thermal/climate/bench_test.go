package climate

import "testing"

// BenchmarkSolve times one state of machines from nothing, the reading of the build
// apart, and the quietest speeds.
func BenchmarkSolve(b *testing.B) {
	for _, name := range machines {
		q := machine(b, name)
		p, s := read(b, q), new(State)
		b.Run(name+"/read", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := p.Read(q); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(name+"/air-and-heat", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := p.Solve(Places{}, nil, s); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(s.Rounds), "rounds")
		})
		b.Run(name+"/quietest", func(b *testing.B) {
			solves := 0
			for b.Loop() {
				set, _ := p.Quietest(Places{}, 5)
				solves = set.Solves
			}
			b.ReportMetric(float64(solves), "states")
		})
	}
}
