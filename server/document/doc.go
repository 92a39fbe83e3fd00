// Package document knows documents as input: builds, parts and questions as
// YAML, JSON, lines of JSON or binary protobuf, read into the messages of
// slipfit.v1 and found good or refused with words that help.
//
// Reading ([Read], [ReadAll], [Options]) turns text into a message. YAML and
// JSON pass through one tree that keeps the place of every value, so that each
// complaint names file, line, column and path, and the nearest name when one is
// misspelt. The mapping is protobuf's JSON mapping; besides it, an enum value
// may be written without its prefix and in lower case, a part may be a
// reference to a file ("fans.yaml#moosgrund-120"), and the root may bear a
// "$schema" for editors.
//
// Validating ([Validator]) holds a message against the field rules of the
// contract, which protovalidate evaluates, and against what field rules cannot
// say: references, order of curves, uniqueness, right angles. For the service
// there is a short way: [Validator.Accept] walks the encoded bytes once, without
// decoding, and accepts what it can vouch for; [Validator.Check] sends everything
// else the long way for the verdict and the words.
package document

// Limits on a document. Counts in lists and lengths of texts come from the
// field rules of the contract; these are the limits on the whole.
const (
	// MaxEncoded is the greatest size of an encoded document in bytes.
	MaxEncoded = 1 << 20
	// MaxText is the greatest size of one document as YAML or JSON in bytes.
	// A tree of YAML takes about a hundred times the room of its text while it is
	// read, which is why this is no larger; a document near MaxEncoded travels as
	// binary protobuf.
	MaxText = 2 << 20
	// MaxNesting is how deep lists and messages may lie in each other.
	MaxNesting = 100
	// MaxMessages is how many messages a document may hold, the root included.
	// A message can be encoded in two bytes and takes about a hundred in memory.
	MaxMessages = 20_000
	// MaxNodes is how many values a YAML or JSON document may hold, those that
	// aliases repeat counted each time.
	MaxNodes = 400_000
	// MaxFaults is how many complaints about one document are told.
	MaxFaults = 32
)
