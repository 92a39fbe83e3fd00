package trial

import (
	"bytes"
	"fmt"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Field numbers of slipfit.v1.
const (
	requestBuild     = 1
	responseFindings = 1
	trialBuildTag    = 1
	trialBuildBuild  = 2
)

// Build is one build of a corpus, encoded.
type Build struct {
	// Tag comes back with the answer.
	Tag string
	// Encoded is a slipfit.v1.Build.
	Encoded []byte
}

// ReadBuild takes an encoded slipfit.v1.TrialBuild apart without decoding the build.
func ReadBuild(encoded []byte) (out Build, err error) {
	err = eachField(encoded, func(number protowire.Number, _, value []byte) error {
		switch number {
		case trialBuildTag:
			out.Tag = string(bytes.ToValidUTF8(value, []byte("\uFFFD")))
		case trialBuildBuild:
			// A message that comes twice is one message, its encodings joined.
			out.Encoded = append(out.Encoded[:len(out.Encoded):len(out.Encoded)], value...)
		}
		return nil
	})
	return out, err
}

// check puts a build and one side of the plan together: messages that are joined
// on the wire are merged.
func (b Build) check(side []byte) []byte {
	out := make([]byte, 0, len(b.Encoded)+len(side)+8)
	out = protowire.AppendTag(out, requestBuild, protowire.BytesType)
	out = protowire.AppendBytes(out, b.Encoded)
	return append(out, side...)
}

// ReadDiffering decodes two encoded answers without the findings that are the
// same bytes in both: they are most of them and cannot differ.
func ReadDiffering(baseline, candidate []byte) (b, c *v1.CheckResponse, err error) {
	same := map[string]int{}
	if err := eachField(baseline, func(number protowire.Number, whole, _ []byte) error {
		if number == responseFindings {
			same[string(whole)]++
		}
		return nil
	}); err != nil {
		return nil, nil, err
	}
	if c, err = readExcept(candidate, same); err != nil {
		return nil, nil, err
	}
	// What the candidate has not taken is left in same; all else was in both.
	left := same
	same = map[string]int{}
	if err := eachField(baseline, func(number protowire.Number, whole, _ []byte) error {
		if number == responseFindings {
			if left[string(whole)] > 0 {
				left[string(whole)]--
				return nil
			}
			same[string(whole)]++
		}
		return nil
	}); err != nil {
		return nil, nil, err
	}
	b, err = readExcept(baseline, same)
	return b, c, err
}

// readExcept decodes an answer without so many of each finding, which it counts
// down.
func readExcept(encoded []byte, without map[string]int) (*v1.CheckResponse, error) {
	out := new(v1.CheckResponse)
	err := eachField(encoded, func(number protowire.Number, whole, _ []byte) error {
		if number == responseFindings && without[string(whole)] > 0 {
			without[string(whole)]--
			return nil
		}
		return out.UnmarshalVT(whole)
	})
	if err != nil {
		return nil, fmt.Errorf("an answer cannot be read: %w", err)
	}
	return out, nil
}

// eachField calls f for every field: its number, its bytes with the tag, and the
// bytes of its value where it is length-delimited.
func eachField(b []byte, f func(number protowire.Number, whole, value []byte) error) error {
	for len(b) > 0 {
		number, kind, tag := protowire.ConsumeTag(b)
		if tag < 0 {
			return protowire.ParseError(tag)
		}
		n := protowire.ConsumeFieldValue(number, kind, b[tag:])
		if n < 0 {
			return protowire.ParseError(n)
		}
		var value []byte
		if kind == protowire.BytesType {
			value, _ = protowire.ConsumeBytes(b[tag:])
		}
		if err := f(number, b[:tag+n], value); err != nil {
			return err
		}
		b = b[tag+n:]
	}
	return nil
}
