package audit

import (
	"errors"
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// unreadable turns a reader's error into remarks.
func unreadable(err error) []Remark {
	var faults *document.Error
	if !errors.As(err, &faults) {
		return []Remark{{Rule: RuleUnreadable, Verdict: v1.Verdict_VERDICT_FAIL, Text: err.Error()}}
	}
	var out []Remark
	for _, f := range faults.Faults {
		path := f.Path
		f.File, f.Path, f.Document = "", "", 0
		out = append(out, Remark{Rule: RuleUnreadable, Verdict: v1.Verdict_VERDICT_FAIL, Path: path, Text: f.String()})
	}
	return out
}

func tooLong(length int64) string {
	return fmt.Sprintf("the line is %d bytes long, more than the %d that one document may have; split it", length, document.MaxText)
}
