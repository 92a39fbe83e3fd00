// Package trial compares what two rulesets say of the same builds: which verdicts
// flip, which margins move, and what it costs.
package trial
