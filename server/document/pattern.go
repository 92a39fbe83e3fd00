package document

import (
	"regexp"
	"regexp/syntax"
)

// run is one piece of a simple pattern: bytes of a set, so many times.
type run struct {
	set      [4]uint64
	min, max int
}

func (r *run) has(b byte) bool { return r.set[b>>6]&(1<<(b&63)) != 0 }

// matcher compiles a pattern (RE2 syntax). Patterns that are anchored at both
// ends and a plain sequence of ASCII characters and classes, of which only the
// last may vary in number, become a loop over bytes; any other is left to
// package regexp.
func matcher(pattern string) (func([]byte) bool, error) {
	re, err := regexp.Compile(pattern)
	if err != nil {
		return nil, err
	}
	parsed, err := syntax.Parse(pattern, syntax.Perl)
	if err != nil {
		return nil, err
	}
	runs, ok := sequence(parsed)
	if !ok {
		return re.Match, nil
	}
	return func(b []byte) bool {
		for i := range runs {
			r := &runs[i]
			n := 0
			for n < len(b) && (r.max < 0 || n < r.max) && r.has(b[n]) {
				n++
			}
			if n < r.min {
				return false
			}
			b = b[n:]
		}
		return len(b) == 0
	}, nil
}

// sequence reads a pattern as runs and reports whether it is one.
func sequence(re *syntax.Regexp) ([]run, bool) {
	if re.Op != syntax.OpConcat || len(re.Sub) < 3 ||
		re.Sub[0].Op != syntax.OpBeginText || re.Sub[len(re.Sub)-1].Op != syntax.OpEndText {
		return nil, false
	}
	inner := re.Sub[1 : len(re.Sub)-1]
	var runs []run
	for i, sub := range inner {
		r := run{min: 1, max: 1}
		piece := sub
		switch sub.Op {
		case syntax.OpStar:
			r.min, r.max, piece = 0, -1, sub.Sub[0]
		case syntax.OpPlus:
			r.min, r.max, piece = 1, -1, sub.Sub[0]
		case syntax.OpQuest:
			r.min, r.max, piece = 0, 1, sub.Sub[0]
		case syntax.OpRepeat:
			r.min, r.max, piece = sub.Min, sub.Max, sub.Sub[0]
		}
		if r.min != r.max && i < len(inner)-1 {
			return nil, false
		}
		sets, ok := byteSets(piece)
		if !ok || (len(sets) != 1 && (r.min != 1 || r.max != 1)) {
			return nil, false
		}
		for _, set := range sets {
			r.set = set
			runs = append(runs, r)
		}
	}
	return runs, true
}

// byteSets gives the sets of bytes that a class or a literal stands for.
func byteSets(re *syntax.Regexp) ([][4]uint64, bool) {
	const lastASCII = 0x7f
	var sets [][4]uint64
	switch {
	case re.Op == syntax.OpCharClass:
		var set [4]uint64
		for i := 0; i < len(re.Rune); i += 2 {
			if re.Rune[i+1] > lastASCII {
				return nil, false
			}
			for c := re.Rune[i]; c <= re.Rune[i+1]; c++ {
				set[c>>6] |= 1 << (c & 63)
			}
		}
		return append(sets, set), true
	case re.Op == syntax.OpLiteral && re.Flags&syntax.FoldCase == 0:
		for _, c := range re.Rune {
			if c > lastASCII {
				return nil, false
			}
			var set [4]uint64
			set[c>>6] |= 1 << (c & 63)
			sets = append(sets, set)
		}
		return sets, len(sets) > 0
	}
	return nil, false
}
