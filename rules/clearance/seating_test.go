package clearance

import (
	"fmt"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"
)

// A seating is a transport problem; the simplex method of a general-purpose
// library must come to the same number of pieces and the same cost.
func TestSeatingAgreesWithSimplexMethod(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parties, places := rapid.IntRange(1, 4).Draw(t, "parties"), rapid.IntRange(1, 4).Draw(t, "places")
		var s seating
		s.begin(parties, places)
		for i := range s.pieces {
			s.pieces[i] = rapid.IntRange(0, 4).Draw(t, "pieces")
		}
		for i := range s.seats {
			s.seats[i] = rapid.IntRange(0, 4).Draw(t, "seats")
		}
		for i := range s.price {
			s.price[i] = int64(rapid.IntRange(-1, 9).Draw(t, "price"))
		}
		s.solve()
		seated, cost := 0, int64(0)
		for i, n := range s.sent {
			if n < 0 || n > 0 && s.price[i] == barred {
				t.Fatalf("%d pieces sent where the price is %d", n, s.price[i])
			}
			seated, cost = seated+n, cost+int64(n)*max(0, s.price[i])
		}
		wantSeated, wantCost := bySimplex(t, &s)
		if seated != wantSeated || cost != wantCost {
			t.Fatalf("seats %d at %d, the simplex method %d at %d", seated, cost, wantSeated, wantCost)
		}
	})
}

// bySimplex solves the transport problem as a linear program: every piece that
// is seated earns much more than any seat costs.
func bySimplex(t *rapid.T, s *seating) (seated int, cost int64) {
	const earns = 1000
	parties, places := len(s.pieces), len(s.seats)
	seats := parties * places
	c := make([]float64, seats+parties+places)
	a := mat.NewDense(parties+places, len(c), nil)
	b := make([]float64, parties+places)
	for p := range parties {
		b[p] = float64(s.pieces[p])
		a.Set(p, seats+p, 1)
		for q := range places {
			i := p*places + q
			if c[i] = float64(s.price[i]) - earns; s.price[i] == barred {
				c[i] = earns
			}
			a.Set(p, i, 1)
			a.Set(parties+q, i, 1)
		}
	}
	for q := range places {
		b[parties+q] = float64(s.seats[q])
		a.Set(parties+q, seats+parties+q, 1)
	}
	_, x, err := lp.Simplex(c, a, b, 1e-9, nil)
	if err != nil {
		t.Fatal(err)
	}
	var total float64
	for i := range seats {
		n := int(x[i] + 0.5)
		seated += n
		total += float64(n) * float64(max(0, s.price[i]))
	}
	return seated, int64(total + 0.5)
}

// crowd is a small build that can be settled by trying everything.
type crowd struct {
	radiators, fans []uint32
	radiatorPlaces  []namedPlace
	fanPlaces       []namedPlace
}

type namedPlace struct {
	mount string
	size  uint32
	count int
}

func drawCrowd(t *rapid.T) (c crowd) {
	mounts := []string{"a", "b", "c", "d"}
	sizes := func(of ...uint32) *rapid.Generator[[]uint32] { return rapid.SliceOfN(rapid.SampledFrom(of), 1, 3) }
	c.radiators, c.fans = sizes(240, 280).Draw(t, "radiators"), sizes(120, 140).Draw(t, "fans")
	for _, m := range mounts {
		if rapid.Bool().Draw(t, "radiators at "+m) {
			c.radiatorPlaces = append(c.radiatorPlaces, namedPlace{m, rapid.SampledFrom([]uint32{240, 280}).Draw(t, "size"), 1})
		}
		if rapid.Bool().Draw(t, "fans at "+m) {
			c.fanPlaces = append(c.fanPlaces, namedPlace{m, rapid.SampledFrom([]uint32{120, 140}).Draw(t, "size"), rapid.IntRange(1, 2).Draw(t, "count")})
		}
	}
	return c
}

func (c crowd) build() string {
	var radiators, fans, items []string
	for _, p := range c.radiatorPlaces {
		radiators = append(radiators, fmt.Sprintf("{mount: %s, nominal_mm: [%d]}", p.mount, p.size))
	}
	for _, p := range c.fanPlaces {
		fans = append(fans, fmt.Sprintf("{mount: %s, sizes_mm: [%d], count: %d}", p.mount, p.size, p.count))
	}
	for i, size := range c.radiators {
		items = append(items, fmt.Sprintf("{id: r%d, part: {liquid_loop: {radiator: {nominal_mm: %d}, fans: [{fan: {thickness_mm: 25}}]}}}", i, size))
	}
	for i, size := range c.fans {
		items = append(items, fmt.Sprintf("{id: f%d, part: {fan: {size_mm: %d}}}", i, size))
	}
	return limited("radiators: ["+strings.Join(radiators, ", ")+"], fans: ["+strings.Join(fans, ", ")+"]", items...)
}

// best tries every way: most radiators first, then most fans.
func (c crowd) best(radiator int, taken string) (radiators, fans int) {
	if radiator == len(c.radiators) {
		return 0, c.fansBeside(taken)
	}
	radiators, fans = c.best(radiator+1, taken)
	for _, p := range c.radiatorPlaces {
		if p.size != c.radiators[radiator] || strings.Contains(taken, p.mount) {
			continue
		}
		if r, f := c.best(radiator+1, taken+p.mount); r+1 > radiators || r+1 == radiators && f > fans {
			radiators, fans = r+1, f
		}
	}
	return radiators, fans
}

// fansBeside is how many fans find a place that no radiator took; places list one
// size each, so that sizes do not stand in each other's way.
func (c crowd) fansBeside(taken string) (seated int) {
	for _, size := range []uint32{120, 140} {
		var seats, wanted int
		for _, p := range c.fanPlaces {
			if p.size == size && !strings.Contains(taken, p.mount) {
				seats += p.count
			}
		}
		for _, f := range c.fans {
			if f == size {
				wanted++
			}
		}
		seated += min(seats, wanted)
	}
	return seated
}

// Whatever the crowd, no way seats more radiators, and with as many radiators
// none seats more fans.
func TestNoWayOfSeatingIsBetter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := drawCrowd(rt)
		radiators, fans := c.best(0, "")
		var gotRadiators, gotFans int
		for _, s := range factOf(t, c.build()).Seats {
			if strings.HasPrefix(s.GetItem(), "r") {
				gotRadiators += int(s.GetCount())
			} else {
				gotFans += int(s.GetCount())
			}
		}
		if gotRadiators != radiators || gotFans != fans {
			rt.Fatalf("seats %d radiators and %d fans of %+v; there is a way for %d and %d", gotRadiators, gotFans, c, radiators, fans)
		}
	})
}
