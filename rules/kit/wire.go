package kit

import (
	"math"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/quantity"
)

// This file is the only place that knows how slipfit.v1.Finding looks on the wire.
// Findings are most of what a pack does, so they are written straight into the
// answer instead of through a tree of messages; a test decodes them with the
// generated code and compares field by field.

// Field numbers of slipfit.v1, from finding.proto.
const (
	responseFindings = 1

	findingRule         = 1
	findingPack         = 2
	findingVersion      = 3
	findingSubjects     = 4
	findingVerdict      = 5
	findingSummary      = 6
	findingMeasured     = 7
	findingRequired     = 8
	findingRelation     = 9
	findingMargin       = 10
	findingInputs       = 11
	findingFormula      = 12
	findingSources      = 13
	findingRemedies     = 14
	findingCaution      = 15
	findingMissing      = 16
	findingMissingFacts = 17
	findingSaturates    = 18
)

// appendTag writes a field's number and kind. Every field of a finding but two
// has a number below 16, whose tag is one byte.
func appendTag(b []byte, field protowire.Number, kind protowire.Type) []byte {
	if field < 16 {
		return append(b, byte(field)<<3|byte(kind))
	}
	return protowire.AppendTag(b, field, kind)
}

// appendLength writes the length of what follows, mostly one byte.
func appendLength(b []byte, n int) []byte {
	if n < 0x80 {
		return append(b, byte(n))
	}
	return protowire.AppendVarint(b, uint64(n))
}

func appendString(b []byte, field protowire.Number, s string) []byte {
	b = appendLength(appendTag(b, field, protowire.BytesType), len(s))
	return append(b, s...)
}

func appendDouble(b []byte, field protowire.Number, v float64) []byte {
	return protowire.AppendFixed64(appendTag(b, field, protowire.Fixed64Type), math.Float64bits(v))
}

func appendVarint(b []byte, field protowire.Number, v uint64) []byte {
	return protowire.AppendVarint(appendTag(b, field, protowire.VarintType), v)
}

// openMessage starts a nested message; closeMessage puts its length before it.
func openMessage(b []byte, field protowire.Number) ([]byte, int) {
	b = appendTag(b, field, protowire.BytesType)
	return append(b, 0), len(b) + 1
}

func closeMessage(b []byte, start int) []byte {
	n := len(b) - start
	if n < 0x80 {
		b[start-1] = byte(n)
		return b
	}
	extra := protowire.SizeVarint(uint64(n)) - 1
	for range extra {
		b = append(b, 0)
	}
	copy(b[start+extra:], b[start:start+n])
	protowire.AppendVarint(b[:start-1], uint64(n))
	return b
}

func appendQuantity(b []byte, field protowire.Number, r quantity.Range, unit, word string) []byte {
	b, start := openMessage(b, field)
	if word != "" {
		b = appendString(b, 5, word)
	} else {
		b = appendDouble(b, 1, r.Nominal)
		b = appendDouble(b, 2, r.Low)
		b = appendDouble(b, 3, r.High)
		b = appendString(b, 4, unit)
	}
	return closeMessage(b, start)
}

func (f *Finding) appendMessage(b []byte, field protowire.Number, t *template) []byte {
	b, start := openMessage(b, field)
	b = appendString(b, 1, t.key)
	for _, s := range t.segments {
		if s.name == "" {
			continue
		}
		if v, ok := f.argument(s.name); ok {
			var arg int
			b, arg = openMessage(b, 2)
			b = appendString(b, 1, s.name)
			b = appendQuantity(b, 2, v.Range, v.Unit, v.Word)
			b = closeMessage(b, arg)
		}
	}
	b, text := openMessage(b, 3)
	for _, s := range t.segments {
		b = append(b, s.text...)
		if s.name == "" {
			continue
		}
		v, ok := f.argument(s.name)
		switch {
		case !ok:
			b = append(append(append(b, '{'), s.name...), '}')
		case v.Word != "" || v.text:
			b = append(b, v.Word...)
		default:
			b = appendNumber(b, v.Nominal, v.Unit)
		}
	}
	b = closeMessage(b, text)
	return closeMessage(b, start)
}

// appendTo writes the finding as one entry of CheckResponse.findings.
func (f *Finding) appendTo(b []byte) []byte {
	b, start := openMessage(b, responseFindings)
	b = append(b, f.rule.head...)
	for _, s := range f.subjects {
		b = appendString(b, findingSubjects, s)
	}
	b = appendVarint(b, findingVerdict, uint64(f.verdict))
	key := f.said
	if key == "" {
		key = textKeyOf(f.verdict)
	}
	b = f.appendMessage(b, findingSummary, f.rule.text(key))
	b = f.appendComparison(b)
	for n, v := range f.values {
		for i := range v.inputs {
			if !inputBefore(f.values[:n], v.inputs[:i], v.inputs[i].Path) {
				b = appendInput(b, &v.inputs[i])
			}
		}
	}
	b = append(b, f.rule.tail...)
	for _, r := range f.remedies {
		b = f.appendRemedy(b, r)
	}
	if f.caution != "" {
		b = f.appendMessage(b, findingCaution, f.rule.cautionText(f.caution))
	}
	b = f.appendMissing(b)
	if f.saturates {
		b = appendVarint(b, findingSaturates, 1)
	}
	return closeMessage(b, start)
}

// appendHead writes no more of the finding than who speaks and the verdict.
func (f *Finding) appendHead(b []byte) []byte {
	b, start := openMessage(b, responseFindings)
	b = append(b, f.rule.head...)
	return closeMessage(appendVarint(b, findingVerdict, uint64(f.verdict)), start)
}

func (f *Finding) appendComparison(b []byte) []byte {
	if f.relation == v1.Relation_RELATION_UNSPECIFIED {
		return b
	}
	b = appendVarint(b, findingRelation, uint64(f.relation))
	if f.measured.Known() {
		b = appendQuantity(b, findingMeasured, f.measured.Range, f.measured.Unit, f.measured.Word)
	}
	if f.required.Known() {
		b = appendQuantity(b, findingRequired, f.required.Range, f.required.Unit, f.required.Word)
	}
	if f.compared && f.measured.Known() && f.required.Known() {
		b = appendQuantity(b, findingMargin, f.margin.Range, f.margin.Unit, "")
	}
	return b
}

func appendInput(b []byte, in *Input) []byte {
	b, start := openMessage(b, findingInputs)
	b = appendPath(b, 1, in.Path)
	b = appendQuantity(b, 2, in.Range, in.Unit, in.Word)
	if in.Assumed {
		b = appendVarint(b, 3, 1)
	}
	return closeMessage(b, start)
}

// inputBefore tells whether a path has been listed already: one figure often goes
// into several values of a finding.
func inputBefore(values []Value, inputs []Input, p Path) bool {
	for i := range inputs {
		if inputs[i].Path == p {
			return true
		}
	}
	for _, v := range values {
		for i := range v.inputs {
			if v.inputs[i].Path == p {
				return true
			}
		}
	}
	return false
}

func appendPath(b []byte, field protowire.Number, p Path) []byte {
	b = appendLength(appendTag(b, field, protowire.BytesType), len(p.Base)+len(p.Field))
	b = append(b, p.Base...)
	return append(b, p.Field...)
}

func (f *Finding) appendRemedy(b []byte, r remedy) []byte {
	b, start := openMessage(b, findingRemedies)
	b = f.appendMessage(b, 1, f.rule.remedyText(r.key))
	if r.hasChange {
		b = appendQuantity(b, 2, r.change.Range, r.change.Unit, r.change.Word)
	}
	for _, token := range r.buy {
		b = appendString(b, 3, token)
	}
	return closeMessage(b, start)
}

func (f *Finding) appendMissing(b []byte) []byte {
	for i, v := range f.values {
		for _, p := range v.missing {
			if !missingBefore(f.values[:i], p) {
				b = appendPath(b, findingMissing, p)
			}
		}
	}
	var facts []string
	for _, v := range f.values {
		for _, name := range v.missingFacts {
			if !contains(facts, name) {
				facts = append(facts, name)
				b = appendString(b, findingMissingFacts, name)
			}
		}
	}
	return b
}

func missingBefore(values []Value, p Path) bool {
	for _, v := range values {
		for _, q := range v.missing {
			if q == p {
				return true
			}
		}
	}
	return false
}
