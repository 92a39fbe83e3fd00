package fastening

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"
)

// deal is one generated set of boxes and joints.
type deal struct {
	counts []int
	needs  []Need
	suits  []Suit
}

func generate(r *rand.Rand) deal {
	var d deal
	for range 1 + r.IntN(6) {
		d.counts = append(d.counts, r.IntN(9))
	}
	for range 1 + r.IntN(5) {
		n := Need{Count: r.IntN(9)}
		if n.Count > 0 {
			n.Enough = r.IntN(n.Count + 1)
		}
		d.needs = append(d.needs, n)
	}
	for l := range d.counts {
		for j := range d.needs {
			if r.IntN(3) > 0 {
				d.suits = append(d.suits, Suit{Lot: l, Joint: j, Doubtful: r.IntN(4) == 0, Cost: r.IntN(6)})
			}
		}
	}
	return d
}

// Weights of the same order of importance, small enough for a solver in floating
// point: at most 45 pieces at 5 each stay below one doubt.
const (
	weightDoubt, weightMissing, weightUnheld = 1e3, 1e5, 1e7
)

func (s *Suit) weight() float64 {
	if s.Doubtful {
		return weightDoubt + float64(s.Cost)
	}
	return float64(s.Cost)
}

// worth is the weighted price of a finished deal, and fails where it is none.
func (d deal) worth(t testing.TB, dealer *Dealer) float64 {
	t.Helper()
	given, from, sum := make([]int, len(d.needs)), make([]int, len(d.counts)), 0.0
	for i := range d.suits {
		s := &d.suits[i]
		if s.Given < 0 {
			t.Fatalf("suit %d gives %d", i, s.Given)
		}
		given[s.Joint] += s.Given
		from[s.Lot] += s.Given
		sum += float64(s.Given) * s.weight()
	}
	for l, n := range from {
		if n+dealer.Left(l) != d.counts[l] {
			t.Fatalf("lot %d of %d pieces gave %d and kept %d", l, d.counts[l], n, dealer.Left(l))
		}
	}
	for j, n := range d.needs {
		short := dealer.Short(j)
		if given[j]+short != n.Count {
			t.Fatalf("joint %d of %d got %d and lacks %d", j, n.Count, given[j], short)
		}
		beyond := 0
		if n.Enough > 0 {
			beyond = n.Count - n.Enough
		}
		sum += weightMissing*float64(min(short, beyond)) + weightUnheld*float64(max(0, short-beyond))
	}
	return sum
}

// solved is the least price by a general solver of linear programmes (gonum). The
// programme of a transport has whole numbers at its corners, so that its least
// value is that of the deal.
func (d deal) solved(t testing.TB) float64 {
	t.Helper()
	// Variables: suits, two ways of being short for each joint, what is left of each
	// lot, and the slack of the first way of being short.
	ns, nj, nl := len(d.suits), len(d.needs), len(d.counts)
	n := ns + 2*nj + nl + nj
	a, b, c := mat.NewDense(nl+2*nj, n, nil), make([]float64, nl+2*nj), make([]float64, n)
	for i := range d.suits {
		s := &d.suits[i]
		c[i] = s.weight()
		a.Set(s.Lot, i, 1)
		a.Set(nl+s.Joint, i, 1)
	}
	for l, count := range d.counts {
		a.Set(l, ns+2*nj+l, 1)
		b[l] = float64(count)
	}
	for j, need := range d.needs {
		c[ns+2*j], c[ns+2*j+1] = weightMissing, weightUnheld
		a.Set(nl+j, ns+2*j, 1)
		a.Set(nl+j, ns+2*j+1, 1)
		b[nl+j] = float64(need.Count)
		a.Set(nl+nj+j, ns+2*j, 1)
		a.Set(nl+nj+j, ns+2*nj+nl+j, 1)
		if need.Enough > 0 {
			b[nl+nj+j] = float64(need.Count - need.Enough)
		}
	}
	least, _, err := lp.Simplex(c, a, b, 1e-9, nil)
	if err != nil {
		t.Fatalf("the general solver gave up on %+v: %v", d, err)
	}
	return least
}

// 500 generated kits against gonum's simplex.
func TestDealAgreesWithALinearProgramme(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 32))
	var dealer Dealer
	short := 0
	for i := range 500 {
		d := generate(r)
		if err := dealer.Deal(d.counts, d.needs, d.suits); err != nil {
			t.Fatal(err)
		}
		got, want := d.worth(t, &dealer), d.solved(t)
		if math.Abs(got-want) > 1e-3 {
			t.Fatalf("kit %d: deal costs %g, the general solver needs %g: %+v", i, got, want, d)
		}
		for j := range d.needs {
			short += dealer.Short(j)
		}
	}
	if short == 0 {
		t.Error("no kit was short of anything; the generator asks nothing of the deal")
	}
}

// The same boxes and joints give the same deal, whatever was dealt before.
func TestDealIsTheSameForTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		d, other := generate(r), generate(r)
		var fresh, used Dealer
		again := deal{d.counts, d.needs, append([]Suit(nil), d.suits...)}
		if err := fresh.Deal(d.counts, d.needs, d.suits); err != nil {
			t.Fatal(err)
		}
		for _, x := range []deal{other, again} {
			if err := used.Deal(x.counts, x.needs, x.suits); err != nil {
				t.Fatal(err)
			}
		}
		for i := range d.suits {
			if d.suits[i].Given != again.suits[i].Given {
				t.Fatalf("suit %d: %d and then %d", i, d.suits[i].Given, again.suits[i].Given)
			}
		}
	})
}

// A lot that two joints share goes where nothing else does, even though the other
// joint was served first.
func TestDealTakesBackWhatAnotherCannotDoWithout(t *testing.T) {
	suits := []Suit{
		{Lot: 0, Joint: 0, Cost: 0}, {Lot: 1, Joint: 0, Cost: 5}, // the first joint likes the lot best
		{Lot: 0, Joint: 1, Cost: 0}, // that the second cannot do without
	}
	var d Dealer
	if err := d.Deal([]int{4, 4}, []Need{{Count: 4}, {Count: 4}}, suits); err != nil {
		t.Fatal(err)
	}
	if d.Short(0) != 0 || d.Short(1) != 0 || suits[1].Given != 4 || suits[2].Given != 4 {
		t.Errorf("given %+v", suits)
	}
}

// Three of four hold a fan (common practice, no source): where six screws serve
// two fans of four holes, each gets three before one gets four.
func TestDealHoldsEveryPartBeforeItFillsAnyUp(t *testing.T) {
	suits := []Suit{{Lot: 0, Joint: 0}, {Lot: 0, Joint: 1}}
	var d Dealer
	if err := d.Deal([]int{6}, []Need{{Count: 4, Enough: 3}, {Count: 4, Enough: 3}}, suits); err != nil {
		t.Fatal(err)
	}
	if suits[0].Given != 3 || suits[1].Given != 3 {
		t.Errorf("given %d and %d, want 3 and 3", suits[0].Given, suits[1].Given)
	}
}

func TestDealServesTheEarlierJointFirst(t *testing.T) {
	suits := []Suit{{Lot: 0, Joint: 1}, {Lot: 0, Joint: 0}}
	var d Dealer
	if err := d.Deal([]int{6}, []Need{{Count: 4}, {Count: 4}}, suits); err != nil {
		t.Fatal(err)
	}
	if d.Short(0) != 0 || d.Short(1) != 2 {
		t.Errorf("short of %d and %d, want 0 and 2", d.Short(0), d.Short(1))
	}
}

func TestDealRefusesCountsThatMakeNoSense(t *testing.T) {
	for name, c := range map[string]struct {
		counts []int
		needs  []Need
		suits  []Suit
		want   string
	}{
		"a negative lot":   {[]int{3, -1}, nil, nil, "lot 2 counts -1 pieces; a count lies from 0 to 1000000"},
		"a negative joint": {nil, []Need{{Count: -4}}, nil, "joint 1 takes -4 fasteners, of which 0 are enough; counts lie from 0 to 1000000, and no more are enough than it takes"},
		"more than all":    {nil, []Need{{Count: 4, Enough: 5}}, nil, "joint 1 takes 4 fasteners, of which 5 are enough; counts lie from 0 to 1000000, and no more are enough than it takes"},
		"no such lot":      {[]int{1}, []Need{{Count: 1}}, []Suit{{Lot: 1}}, "suit 1 names lot 1 and joint 0 at cost 0; lots and joints count from 0, costs from 0 to 999"},
		"a cost below 0":   {[]int{1}, []Need{{Count: 1}}, []Suit{{Cost: -1}}, "suit 1 names lot 0 and joint 0 at cost -1; lots and joints count from 0, costs from 0 to 999"},
		"too many joints":  {nil, make([]Need, 1001), nil, "1001 joints and 0 lots are more than a deal takes (1000 and 10000); deal them in parts"},
	} {
		var d Dealer
		if err := d.Deal(c.counts, c.needs, c.suits); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v\nwant %s", name, err, c.want)
		}
	}
}

// BenchmarkDeal deals 40 lots out to 20 joints, more than any desktop has.
func BenchmarkDeal(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	var d deal
	for range 40 {
		d.counts = append(d.counts, r.IntN(13))
	}
	for range 20 {
		d.needs = append(d.needs, Need{Count: 4 + r.IntN(9), Enough: 3})
	}
	for l := range d.counts {
		for j := range d.needs {
			if r.IntN(4) == 0 {
				d.suits = append(d.suits, Suit{Lot: l, Joint: j, Cost: r.IntN(500)})
			}
		}
	}
	var dealer Dealer
	b.ReportAllocs()
	for b.Loop() {
		if err := dealer.Deal(d.counts, d.needs, d.suits); err != nil {
			b.Fatal(err)
		}
	}
}

// The deal without a search is one, and never better than the exact one.
func TestDealInOrderIsADeal(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	var quick, exact Dealer
	for range 300 {
		d := generate(r)
		again := deal{d.counts, d.needs, append([]Suit(nil), d.suits...)}
		if err := quick.DealInOrder(d.counts, d.needs, d.suits); err != nil {
			t.Fatal(err)
		}
		if err := exact.Deal(again.counts, again.needs, again.suits); err != nil {
			t.Fatal(err)
		}
		if got, least := d.worth(t, &quick), again.worth(t, &exact); got < least {
			t.Fatalf("%g is below the least %g: %+v", got, least, d)
		}
		for i := range d.suits {
			if s := &d.suits[i]; quick.Left(s.Lot) > 0 && quick.Short(s.Joint) > 0 {
				t.Fatalf("joint %d is short beside lot %d that fits: %+v", s.Joint, s.Lot, d)
			}
		}
	}
	if err := quick.DealInOrder([]int{-1}, nil, nil); err == nil {
		t.Error("a negative lot passed")
	}
}
