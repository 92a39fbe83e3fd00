package kit

// Despite adds values that went in, or are missing, without touching the verdict.
// It is for a verdict that no missing value can overturn: a known part of a sum
// that passes the limit by itself fails it whatever the rest turns out to be. The
// finding still lists what is missing.
func (f *Finding) Despite(values ...Value) *Finding {
	f.values = append(f.values, values...)
	return f
}

// AtBest hardens a PASS to the verdict given, where the numbers suffice and
// something else about the solution does not fully. Worse verdicts stay.
func (f *Finding) AtBest(v Verdict) *Finding {
	if f.verdict == Pass {
		f.verdict = v
	}
	return f
}
