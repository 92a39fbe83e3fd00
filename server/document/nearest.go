package document

import "strings"

// nearest gives the candidate that is most like name, "" where none is like it.
// Like means at most a third of its letters wrong, by insertions, deletions,
// changes and swaps of neighbours.
func nearest(name string, candidates []string) string {
	const longest = 64
	if len(name) > longest {
		return ""
	}
	best, least := "", max(1, len(name)/3)+1
	folded := fold(name)
	for _, c := range candidates {
		if len(c) > longest {
			continue
		}
		d := distance(folded, fold(c), least)
		if i := strings.LastIndexByte(c, '_'); i > 0 {
			// The unit at the end of a field's name is easily left out.
			d = min(d, 1+distance(folded, fold(c[:i]), least))
		}
		if d < least {
			best, least = c, d
		}
	}
	return best
}

// fold makes names alike that differ in case and in how words are joined.
func fold(s string) string {
	return strings.NewReplacer("_", "", "-", "", " ", "").Replace(strings.ToLower(s))
}

// distance is the edit distance of a and b with swaps of neighbours (optimal
// string alignment); values at or above limit may come back as limit.
func distance(a, b string, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return min(last[len(b)], limit)
}

// didYouMean words the suggestion, "" where there is none.
func didYouMean(name string, candidates []string) string {
	if best := nearest(name, candidates); best != "" {
		return "; the nearest is \"" + best + "\""
	}
	return ""
}
