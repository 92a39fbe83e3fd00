package batch

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"unicode/utf8"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Field numbers of slipfit.v1.Finding, Message, Quantity and Remedy.
const (
	findingRule     = 1
	findingSubjects = 4
	findingVerdict  = 5
	findingSummary  = 6
	findingMargin   = 10
	findingRemedies = 14
	findingMissing  = 16
	findingNoFacts  = 17

	messageText     = 3
	quantityNominal = 1
	quantityUnit    = 4
	remedyBuy       = 3
)

// finding is what a line tells of one. Its texts lie in the answer.
type finding struct {
	rule, text, unit       []byte
	verdict                v1.Verdict
	subjects, missing, buy [][]byte
	noFacts                [][]byte
	margin                 float64
	hasMargin              bool
}

// passes tells that a finding passes, without a look at the rest of it.
func passes(encoded []byte) bool {
	for b := encoded; len(b) > 0; {
		number, kind, tag := protowire.ConsumeTag(b)
		if tag < 0 {
			return false
		}
		if number == findingVerdict && kind == protowire.VarintType {
			v, _ := protowire.ConsumeVarint(b[tag:])
			return v1.Verdict(v) == v1.Verdict_VERDICT_PASS
		}
		n := protowire.ConsumeFieldValue(number, kind, b[tag:])
		if n < 0 {
			return false
		}
		b = b[tag+n:]
	}
	return false
}

func readFinding(encoded []byte) (f finding, err error) {
	err = EachField(encoded, func(n protowire.Number, value []byte, number uint64) error {
		switch n {
		case findingRule:
			f.rule = value
		case findingVerdict:
			f.verdict = v1.Verdict(number)
		case findingSubjects:
			f.subjects = append(f.subjects, value)
		case findingMissing:
			f.missing = append(f.missing, value)
		case findingNoFacts:
			f.noFacts = append(f.noFacts, value)
		case findingSummary:
			return EachField(value, func(n protowire.Number, value []byte, _ uint64) error {
				if n == messageText {
					f.text = value
				}
				return nil
			})
		case findingMargin:
			return EachField(value, func(n protowire.Number, value []byte, number uint64) error {
				switch n {
				case quantityNominal:
					f.margin, f.hasMargin = math.Float64frombits(number), true
				case quantityUnit:
					f.unit = value
				}
				return nil
			})
		case findingRemedies:
			return EachField(value, func(n protowire.Number, value []byte, _ uint64) error {
				if n == remedyBuy {
					f.buy = append(f.buy, value)
				}
				return nil
			})
		}
		return nil
	})
	return f, err
}

func (f *finding) append(b []byte) ([]byte, error) {
	b = appendText(append(b, `{"rule":`...), f.rule)
	b = append(append(append(b, `,"verdict":"`...), word(f.verdict)...), '"')
	b = appendList(b, `,"subjects":[`, f.subjects)
	b = appendText(append(b, `,"text":`...), f.text)
	if f.hasMargin {
		var err error
		if b, err = appendNumber(append(b, `,"margin":`...), f.margin); err != nil {
			return nil, err
		}
	}
	if len(f.unit) > 0 {
		b = appendText(append(b, `,"unit":`...), f.unit)
	}
	b = appendList(b, `,"missing":[`, append(f.missing, f.noFacts...))
	b = appendList(b, `,"buy":[`, f.buy)
	return append(b, '}'), nil
}

func appendList(b []byte, head string, list [][]byte) []byte {
	if len(list) == 0 {
		return b
	}
	b = append(b, head...)
	for i, s := range list {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendText(b, s)
	}
	return append(b, ']')
}

// appendNumber writes a number as encoding/json does, plain ones without its help.
func appendNumber(b []byte, v float64) ([]byte, error) {
	if size := math.Abs(v); size == 0 || size >= 1e-6 && size < 1e21 {
		return strconv.AppendFloat(b, v, 'f', -1, 64), nil
	}
	encoded, err := json.Marshal(v)
	if err != nil {
		return nil, unreadableAnswer(err)
	}
	return append(b, encoded...), nil
}

func appendString(b []byte, s string) []byte { return appendText(b, []byte(s)) }

// appendText writes a string as encoding/json does when it leaves HTML alone, plain
// ones without its help.
func appendText(b, s []byte) []byte {
	if plain(s) {
		return append(append(append(b, '"'), s...), '"')
	}
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	if err := e.Encode(string(s)); err != nil {
		panic(err) // any string can be encoded
	}
	return append(b, bytes.TrimSuffix(out.Bytes(), []byte("\n"))...)
}

// plain tells that a string stands in JSON as it is.
func plain(s []byte) bool {
	ascii := true
	for i, c := range s {
		switch {
		case c >= utf8.RuneSelf:
			ascii = false
			// U+2028 and U+2029 are escaped for JavaScript's sake.
			if c == 0xe2 && i+2 < len(s) && s[i+1] == 0x80 && s[i+2]&^1 == 0xa8 {
				return false
			}
		case c < ' ', c == '"', c == '\\':
			return false
		}
	}
	return ascii || utf8.Valid(s)
}
