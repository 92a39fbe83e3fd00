package electric

import "fmt"

// Point is one point of a curve.
type Point struct {
	X float64
	Y Range
}

// Curve is a quantity given at points and straight between them.
type Curve []Point

// Check says what is wrong with a curve, or returns nil: at least one point, X
// rising, every Y a sound range between least and most.
func (c Curve) Check(what string, least, most float64) error {
	if len(c) == 0 {
		return fmt.Errorf("%s has no points: give at least one", what)
	}
	for i, p := range c {
		name := fmt.Sprintf("point %d of %s", i+1, what)
		if err := Exactly(p.X).Check("the position of " + name); err != nil {
			return err
		}
		if err := p.Y.Check(name); err != nil {
			return err
		}
		if i > 0 && p.X <= c[i-1].X {
			return fmt.Errorf("%s stands at %g, not beyond %g: give points of rising position", name, p.X, c[i-1].X)
		}
		if p.Y.Low < least || p.Y.High > most {
			return fmt.Errorf("%s runs from %g to %g: give values between %g and %g", name, p.Y.Low, p.Y.High, least, most)
		}
	}
	return nil
}

// at is the value at x; before the first and after the last point it stays
// level. The curve was checked.
func (c Curve) at(x float64) Range {
	if x <= c[0].X {
		return c[0].Y
	}
	for i := 1; i < len(c); i++ {
		if x > c[i].X {
			continue
		}
		p, q := c[i-1], c[i]
		t := (x - p.X) / (q.X - p.X)
		mix := func(a, b float64) float64 { return a + t*(b-a) }
		return Range{mix(p.Y.Low, q.Y.Low), mix(p.Y.Nominal, q.Y.Nominal), mix(p.Y.High, q.Y.High)}
	}
	return c[len(c)-1].Y
}

// last is the position of the last point.
func (c Curve) last() float64 { return c[len(c)-1].X }
