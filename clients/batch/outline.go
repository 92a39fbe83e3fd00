package batch

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// A line of the output is an object of JSON:
//
//	{"line":…, LABEL, "id":…, "verdict":…, "findings":[…]}   or "answer":{…}
//	{"line":…, LABEL, "refused":{"reason":…, "violations":[{"path":…, "reason":…}]}}
//
// It is written straight from the encoded answer, since most of an answer are
// findings that pass, which only a full line tells.

// Field numbers of slipfit.v1.CheckResponse.
const (
	answerFindings = 1
	answerVerdict  = 2
	answerBuildID  = 4
)

// begin writes what every line begins with.
func (l *Line) begin(b []byte) []byte {
	b = append(b, `{"line":`...)
	b = strconv.AppendInt(b, l.Number, 10)
	if l.Label != "" {
		b = append(append(b, ','), l.Label...)
	}
	return b
}

// refused is the line of a document that was refused.
func (l *Line) refused(b []byte, r *v1.Refusal) []byte {
	b = l.begin(b)
	b = append(b, `,"refused":{"reason":`...)
	b = appendString(b, r.GetReason())
	for i, v := range r.Violations {
		if i == 0 {
			b = append(b, `,"violations":[`...)
		} else {
			b = append(b, ',')
		}
		b = append(b, '{')
		if v.GetPath() != "" {
			b = append(b, `"path":`...)
			b = append(appendString(b, v.GetPath()), ',')
		}
		b = append(b, `"reason":`...)
		b = append(appendString(b, v.GetReason()), '}')
	}
	if len(r.Violations) > 0 {
		b = append(b, ']')
	}
	return append(b, "}}\n"...)
}

// answered is the line of an encoded slipfit.v1.CheckResponse. Silent tells that a
// pack did not answer, so that the same question may get another answer at another
// time.
func (l *Line) answered(b, answer []byte, detail Detail) (line []byte, verdict v1.Verdict, silent bool, err error) {
	verdict, id, findings, err := openAnswer(answer)
	if err != nil {
		return nil, 0, false, err
	}
	b = l.begin(b)
	if id != "" {
		b = appendString(append(b, `,"id":`...), id)
	}
	b = append(b, `,"verdict":"`...)
	b = append(append(b, word(verdict)...), '"')
	told := 0
	for _, f := range findings {
		silent = silent || string(f.rule) == "host.pack-answers"
		if detail != DetailFindings {
			continue
		}
		if told++; told == 1 {
			b = append(b, `,"findings":[`...)
		} else {
			b = append(b, ',')
		}
		if b, err = f.append(b); err != nil {
			return nil, 0, false, err
		}
	}
	if told > 0 {
		b = append(b, ']')
	}
	if detail == DetailFull {
		if b, err = appendFull(append(b, `,"answer":`...), answer); err != nil {
			return nil, 0, false, err
		}
	}
	return append(b, "}\n"...), verdict, silent, nil
}

func word(v v1.Verdict) string { return strings.TrimPrefix(v.String(), "VERDICT_") }

// appendFull writes the whole answer by protobuf's JSON mapping.
func appendFull(b, answer []byte) ([]byte, error) {
	var whole v1.CheckResponse
	if err := whole.UnmarshalVT(answer); err != nil {
		return nil, unreadableAnswer(err)
	}
	encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(&whole)
	if err != nil {
		return nil, unreadableAnswer(err)
	}
	// protojson puts spaces where it likes, and its next version elsewhere.
	var c bytes.Buffer
	if err := json.Compact(&c, encoded); err != nil {
		return nil, unreadableAnswer(err)
	}
	return append(b, c.Bytes()...), nil
}

func unreadableAnswer(err error) error { return fmt.Errorf("an answer cannot be read: %w", err) }

// openAnswer reads what a line tells of an answer: of its findings, those that do
// not pass.
func openAnswer(answer []byte) (verdict v1.Verdict, id string, failing []finding, err error) {
	err = EachField(answer, func(n protowire.Number, value []byte, number uint64) error {
		switch n {
		case answerVerdict:
			if number > uint64(v1.Verdict_VERDICT_FAIL) {
				return fmt.Errorf("its verdict %d does not exist", number)
			}
			verdict = v1.Verdict(number)
		case answerBuildID:
			id = string(value)
		case answerFindings:
			if passes(value) {
				return nil
			}
			f, err := readFinding(value)
			failing = append(failing, f)
			return err
		}
		return nil
	})
	if err != nil {
		return 0, "", nil, unreadableAnswer(err)
	}
	return verdict, id, failing, nil
}
