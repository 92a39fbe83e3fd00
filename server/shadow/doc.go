// Package shadow judges a share of the live checks a second time, by a candidate
// ruleset, and counts what would come out otherwise.
//
// It sees what was asked and what was answered, after the answer is on its way, and has
// no way back to either: it takes a check or drops it at once, judges one at a time, and
// holds no more than a bounded number of checks and bytes. What its judge does, or never
// comes to do, is nobody's business but its own.
package shadow

import "time"

// Bounds of what is held.
const (
	waitingChecks = 64
	waitingBytes  = 8 << 20
	keptExamples  = 50
)

// A candidate that did not answer is asked again after a rest, which grows.
const (
	firstRest   = 100 * time.Millisecond
	longestRest = 30 * time.Second
)
