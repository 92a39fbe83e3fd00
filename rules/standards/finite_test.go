package standards

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Whatever number comes in, an answer is an error or finite.
func TestNoNaNLeaves(t *testing.T) {
	anything := rapid.OneOf(
		rapid.Float64(),
		rapid.Float64Range(0, 2),
		rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, math.Copysign(0, -1), math.MaxFloat64, -math.MaxFloat64, math.SmallestNonzeroFloat64, 115, 230}),
	)
	functions := map[string]func(x, y, z, w float64, n int) ([]float64, error){
		"EfficiencyAt": func(x, y, _, _ float64, _ int) ([]float64, error) {
			e, err := EfficiencyAt("gold", x, y)
			return []float64{e.Share}, err
		},
		"ExcursionBaseW": func(x, y, z, _ float64, _ int) ([]float64, error) {
			v, err := ExcursionBaseW(x, y, z)
			return []float64{v}, err
		},
		"ExcursionBaseTime": func(x, _, _, _ float64, n int) ([]float64, error) {
			v, err := ExcursionBaseTime(time.Duration(n), x)
			return []float64{float64(v)}, err
		},
		"ExcursionFor": func(x, _, _, _ float64, n int) ([]float64, error) {
			v, err := ExcursionFor(x, true, time.Duration(n))
			return []float64{v.Share}, err
		},
		"ProcessorCurrentFor": func(x, _, _, _ float64, _ int) ([]float64, error) {
			v, err := ProcessorCurrentFor(x)
			return []float64{v.BudgetW()}, err
		},
		"ContactAmpere": func(x, _, _, _ float64, n int) ([]float64, error) {
			v, err := ContactAmpere(x, n)
			return []float64{v}, err
		},
		"WireOhmPerM": func(x, _, _, _ float64, n int) ([]float64, error) {
			v, err := WireOhmPerM(n, x)
			return []float64{v}, err
		},
		"Drop": func(x, y, z, _ float64, n int) ([]float64, error) {
			d, err := Run{AWG: 18, LengthM: x, Pairs: n, Ampere: y, Celsius: z}.Drop()
			return []float64{d.Volt, d.Watt, d.PairA}, err
		},
		"BendRadiusMM": func(x, _, _, _ float64, _ int) ([]float64, error) {
			v, err := BendRadiusMM(x, true)
			return []float64{v}, err
		},
		"ACLoadOf": func(x, y, z, w float64, _ int) ([]float64, error) {
			l, err := ACLoadOf(x, y, z, w)
			return []float64{l.Watt, l.VA, l.Ampere, l.HeatW}, err
		},
		"CheckUPS": func(x, y, z, w float64, _ int) ([]float64, error) {
			u, err := CheckUPS(x, y, z, w)
			return []float64{u.LimitW, u.LimitVA, u.LoadVA}, err
		},
		"ContinuousLimitA": func(x, y, _, _ float64, _ int) ([]float64, error) {
			v, err := ContinuousLimitA(x, y, false)
			return []float64{v}, err
		},
		"TachRPM": func(x, _, _, _ float64, _ int) ([]float64, error) { v, err := TachRPM(x); return []float64{v}, err },
		"ProtrusionMM": func(x, y, _, _ float64, _ int) ([]float64, error) {
			v, err := ProtrusionMM(x, y)
			return []float64{v}, err
		},
		"RadiatorHoles": func(x, _, _, _ float64, _ int) ([]float64, error) {
			holes, err := RadiatorHoles(360, x)
			var out []float64
			for _, h := range holes {
				out = append(out, h.XMM, h.YMM)
			}
			return out, err
		},
	}
	for name, f := range functions {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				out, err := f(anything.Draw(t, "x"), anything.Draw(t, "y"), anything.Draw(t, "z"), anything.Draw(t, "w"), rapid.Int().Draw(t, "n"))
				if err != nil {
					if len(err.Error()) < 20 {
						t.Fatalf("error %q is no sentence", err)
					}
					return
				}
				for _, v := range out {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Fatalf("answer %v", out)
					}
				}
			})
		})
	}
}
