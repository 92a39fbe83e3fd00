package air

import "math"

// choleskySolve solves a x = b in place for a symmetric positive definite
// matrix of n rows whose lower triangle is stored row by row. The factor
// overwrites a, the solution overwrites b. A pivot that rounding has driven
// to zero or below is replaced by a small positive one, which moves the
// solution by no more than rounding already has and never divides by zero.
func choleskySolve(a, b []float64, n int) {
	a, b = a[:n*n], b[:n]
	for i := range n {
		row := a[i*n : i*n+i+1]
		diagonal := row[i]
		for j := range i {
			other := a[j*n : j*n+j+1]
			sum := row[j]
			for k, v := range other[:j] {
				sum -= row[k] * v
			}
			sum *= other[j] // diagonals hold reciprocals
			row[j] = sum
		}
		sum := diagonal
		for _, v := range row[:i] {
			sum -= v * v
		}
		if !(sum > 1e-15*diagonal) {
			sum = 1e-15*math.Abs(diagonal) + 1e-300
		}
		row[i] = 1 / math.Sqrt(sum)
		// Forward elimination rides along.
		y := b[i]
		for k, v := range row[:i] {
			y -= v * b[k]
		}
		b[i] = y * row[i]
	}
	for i := n - 1; i >= 0; i-- {
		x := b[i] * a[i*n+i]
		b[i] = x
		for k, v := range a[i*n : i*n+i] {
			b[k] -= v * x
		}
	}
}
