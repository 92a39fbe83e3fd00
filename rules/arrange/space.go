package arrange

// spaceBudget bounds the combinations of those variables that others depend on.
const spaceBudget = 100_000

// space counts what the conditions alone allow, with requirements and the order of equal parts ignored. It tries the
// options of variables that others depend on; all others only multiply.
func (m *model) space() uint64 {
	s := spaceCount{m: m, taken: make([]int32, len(m.vars)), left: spaceBudget}
	return s.from(0, 1)
}

type spaceCount struct {
	m *model
	// taken holds the options of the variables that others depend on, -1 for inactive ones.
	taken []int32
	left  int
}

// from returns the combinations of variable v and all after it, times the factor of those before.
func (s *spaceCount) from(v int, factor uint64) uint64 {
	for ; v < len(s.m.vars); v++ {
		src := &s.m.vars[v]
		s.taken[v] = -1
		if !s.active(src) {
			continue
		}
		if src.isParent {
			break
		}
		factor = mulSaturated(factor, uint64(src.to-src.from))
	}
	if v == len(s.m.vars) {
		return factor
	}
	total := uint64(0)
	for o := s.m.vars[v].from; o < s.m.vars[v].to && s.left > 0; o++ {
		s.left--
		s.taken[v] = o
		total = addSaturated(total, s.from(v+1, factor))
	}
	return total
}

func (s *spaceCount) active(v *variable) bool {
	for i := range v.when {
		c := &v.when[i]
		o := s.taken[c.parent]
		if o < 0 || !c.allowed[o-s.m.vars[c.parent].from] {
			return false
		}
	}
	return true
}
