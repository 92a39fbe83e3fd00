// Package house is the pack of an operator's own rules: a YAML file of expressions
// in CEL (the Common Expression Language, language definition 1.0) over the build
// and over the facts that other packs work out.
//
// Expressions are type-checked against the contract when they are loaded, their
// cost is bounded then and again when they run, and each rule brings tests that run
// at load. A field that the document does not have is never taken for zero or for
// empty: what needs it is UNKNOWN and names its path, unless the expression asks
// with has() first or its answer is the same either way. An empty list counts as
// absent, since the wire does not tell the two apart.
package house

// Limits of house rules.
const (
	// MaxText is the greatest size of a file, or of several joined, in bytes.
	MaxText = 64 << 10
	// MaxRules is how many rules a pack may have.
	MaxRules = 200
	// maxExpression is the greatest size of one expression in bytes.
	maxExpression = 4 << 10
	// maxDepth is how deep an expression may be nested.
	maxDepth = 24
	// maxEstimate is the greatest cost that an expression may have by estimate, in
	// the units of CEL's cost model, over lists of listLength and texts of textLength.
	maxEstimate = 5_000_000
	// unbounded is a cost by estimate beyond which there is no sense in telling it.
	unbounded = 1e15
	// maxSteps is at how many passes through loops an expression is broken off when
	// it runs.
	maxSteps = 20_000
	// listLength and textLength are what lists and texts are taken to have.
	listLength = 64
	textLength = 256
)
