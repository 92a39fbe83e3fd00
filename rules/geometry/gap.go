package geometry

import "math"

// Separation is the signed separation of two boxes: positive is the widest free distance along one axis, negative is the
// least depth by which they have to be moved apart, zero is touching.
type Separation struct {
	// Distance in mm, negative for a penetration.
	Distance float64
	// Axis is the separating axis, or the axis of the least penetration.
	Axis Axis
	// FaceA of the first box and FaceB of the second one look at each other across the distance.
	FaceA, FaceB Face
}

// Separate measures two boxes. Equal distances are decided for the first axis, X before Y before Z.
func Separate(a, b Box) Separation { return separate(&a, &b) }

func separate(a, b *Box) Separation {
	s := Separation{Distance: math.Inf(-1)}
	for k := range a.min {
		above, below := b.min[k]-a.max[k], a.min[k]-b.max[k]
		if above >= below {
			if above > s.Distance {
				s.Distance, s.FaceA = above, Face(2*k+1)
			}
		} else if below > s.Distance {
			s.Distance, s.FaceA = below, Face(2*k)
		}
	}
	s.Axis, s.FaceB = s.FaceA.Axis(), s.FaceA^1
	return s
}

// SignedDistance returns the Distance of Separate, for loops that only compare.
func SignedDistance(a, b *Box) float64 {
	x := max(b.min[0]-a.max[0], a.min[0]-b.max[0])
	y := max(b.min[1]-a.max[1], a.min[1]-b.max[1])
	z := max(b.min[2]-a.max[2], a.min[2]-b.max[2])
	return max(x, y, z)
}

// Distance returns the Euclidean distance of two boxes, 0 if they touch or overlap.
func Distance(a, b Box) float64 {
	sum := 0.0
	for k := range a.min {
		if d := max(b.min[k]-a.max[k], a.min[k]-b.max[k]); d > 0 {
			sum += d * d
		}
	}
	return math.Sqrt(sum)
}

// Interval is a range in mm, Low <= High.
type Interval struct{ Low, High float64 }

// Basis chooses a figure of a Gap.
type Basis uint8

// The figures of a gap.
const (
	// Nominal is the gap between the nominal faces.
	Nominal Basis = iota
	// WorstCase is the low end with every face at its worst limit.
	WorstCase
	// RootSumSquare is the low end of the statistical range.
	RootSumSquare
)

// Gap is a separation with its ranges.
type Gap struct {
	Separation
	// Worst is the range over all limits at once; its ends are attained.
	Worst Interval
	// RSS is the range of CoverageFactor standard deviations round the middle of the limits, cut to Worst.
	RSS Interval
}

// At returns the figure that a basis names, in mm.
func (g Gap) At(b Basis) float64 {
	switch b {
	case WorstCase:
		return g.Worst.Low
	case RootSumSquare:
		return g.RSS.Low
	default:
		return g.Distance
	}
}

// CoverageFactor is the number of standard deviations on either side of the middle of a root-sum-square range: 99.7 % of
// normally distributed parts (common practice of statistical tolerancing, no source).
const CoverageFactor = 3

// Between measures two pieces. Their faces are taken as independent; a shift that both parts share is counted for each,
// which errs to the safe side.
func Between(a, b *Piece) Gap {
	// The nominal candidate first: most of the others then lie wholly below it and are left out at a glance.
	g := Gap{Separation: separate(&a.Box, &b.Box)}
	g.Worst, g.RSS = spread(g.Distance, &a.Deviations[g.FaceA], &b.Deviations[g.FaceB])
	for k := range a.Box.min {
		aLo, aHi := &a.Deviations[2*k], &a.Deviations[2*k+1]
		bLo, bHi := &b.Deviations[2*k], &b.Deviations[2*k+1]
		if d := b.Box.min[k] - a.Box.max[k]; d-aHi.lower-bLo.lower > g.Worst.Low {
			g.widen(d, aHi, bLo)
		}
		if d := a.Box.min[k] - b.Box.max[k]; d-aLo.lower-bHi.lower > g.Worst.Low {
			g.widen(d, aLo, bHi)
		}
	}
	return g
}

// spread returns the ranges of one candidate separation between two faces.
func spread(d float64, da, db *Deviation) (worst, rss Interval) {
	worst = Interval{d - da.upper - db.upper, d - da.lower - db.lower}
	mid := (worst.Low + worst.High) / 2
	reach := CoverageFactor * math.Sqrt(da.sigma*da.sigma+db.sigma*db.sigma)
	return worst, Interval{max(worst.Low, mid-reach), min(worst.High, mid+reach)}
}

// widen takes one of the six candidate separations into account. The candidates stand on disjoint faces, so the extremes
// of the largest candidate are the largest of the candidates' extremes.
func (g *Gap) widen(d float64, da, db *Deviation) {
	worst, rss := spread(d, da, db)
	g.Worst.Low, g.Worst.High = max(g.Worst.Low, worst.Low), max(g.Worst.High, worst.High)
	g.RSS.Low, g.RSS.High = max(g.RSS.Low, rss.Low), max(g.RSS.High, rss.High)
}

// PieceGap is the gap between two pieces of two sets, named by their indices.
type PieceGap struct {
	Gap
	// A and B are the indices of the closest pieces, -1 if no pair of pieces excludes each other.
	A, B int
}

// BetweenSets measures two sets of pieces: the pair with the smallest nominal separation is named, the ends of the
// ranges are the smallest over all pairs. Pairs whose purposes do not exclude each other are left out; ok is false if no
// pair is left.
func BetweenSets(a, b []Piece) (g PieceGap, ok bool) {
	g = PieceGap{A: -1, B: -1}
	for i := range a {
		for j := range b {
			if !a[i].Purpose.Excludes(b[j].Purpose) {
				continue
			}
			h := Between(&a[i], &b[j])
			if g.A < 0 {
				g = PieceGap{h, i, j}
				continue
			}
			if h.Distance < g.Distance {
				g.Separation, g.A, g.B = h.Separation, i, j
			}
			g.Worst.Low, g.Worst.High = min(g.Worst.Low, h.Worst.Low), min(g.Worst.High, h.Worst.High)
			g.RSS.Low, g.RSS.High = min(g.RSS.Low, h.RSS.Low), min(g.RSS.High, h.RSS.High)
		}
	}
	return g, g.A >= 0
}

// DistanceBetweenSets returns the smallest Euclidean distance between two sets, and false if one of them is empty.
func DistanceBetweenSets(a, b []Piece) (float64, bool) {
	if len(a) == 0 || len(b) == 0 {
		return 0, false
	}
	best := math.MaxFloat64
	for i := range a {
		for j := range b {
			best = min(best, Distance(a[i].Box, b[j].Box))
		}
	}
	return best, true
}

// SolidGap is the gap between two of a list of parts.
type SolidGap struct {
	// First and Second are indices into the list, First < Second.
	First, Second int
	PieceGap
}

// Gaps appends the gap of every pair of parts that has one to dst and returns it. With enough capacity in dst nothing is
// allocated.
func Gaps(dst []SolidGap, solids []Solid) []SolidGap {
	for i := range solids {
		for j := i + 1; j < len(solids); j++ {
			if g, ok := BetweenSets(solids[i].Pieces, solids[j].Pieces); ok {
				dst = append(dst, SolidGap{i, j, g})
			}
		}
	}
	return dst
}
