package document

import (
	"fmt"
	"strconv"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// Domain is the domain of every google.rpc.ErrorInfo of the service.
const Domain = "slipfit.example"

// ReasonInvalid is the reason in google.rpc.ErrorInfo of a bad document.
const ReasonInvalid = "DOCUMENT_INVALID"

// statusViolations is how many violations a status tells. It travels in the
// trailer, for which intermediaries allow some kilobytes.
const statusViolations = 16

// statusText is how many bytes of a path or a reason a status tells.
const statusText = 240

// BadRequest gives violations in the form of google.rpc.BadRequest.
func BadRequest(violations []Violation) *errdetails.BadRequest {
	out := &errdetails.BadRequest{}
	for _, v := range violations {
		out.FieldViolations = append(out.FieldViolations, &errdetails.BadRequest_FieldViolation{
			Field: cut(v.Path), Description: cut(placed(v)), Reason: ReasonInvalid,
		})
	}
	return out
}

// placed gives the reason, with the place in the text where it is known.
func placed(v Violation) string {
	if v.Line == 0 {
		return v.Reason
	}
	return fmt.Sprintf("line %d, column %d: %s", v.Line, v.Column, v.Reason)
}

// cut shortens a text at a character.
func cut(s string) string {
	if len(s) <= statusText {
		return s
	}
	end := statusText
	for end > 0 && s[end]&0xc0 == 0x80 {
		end--
	}
	return s[:end] + "..."
}

// Status gives the status for a bad document: INVALID_ARGUMENT with one
// google.rpc.ErrorInfo and one google.rpc.BadRequest (AIP-193). It tells the first
// violations; the metadata of the ErrorInfo says how many there are. Without
// violations it is OK.
func Status(violations []Violation) *status.Status {
	if len(violations) == 0 {
		return status.New(codes.OK, "")
	}
	told := violations[:min(len(violations), statusViolations)]
	plain := status.New(codes.InvalidArgument, summary(violations))
	detailed, err := plain.WithDetails(
		&errdetails.ErrorInfo{
			Reason: ReasonInvalid, Domain: Domain,
			Metadata: map[string]string{"violations": strconv.Itoa(len(violations))},
		},
		BadRequest(told),
	)
	if err != nil {
		// A detail that cannot be encoded must not hide the refusal.
		return plain
	}
	return detailed
}

// Refusal gives violations in the form of an answer in a stream.
func Refusal(violations []Violation) *slipfitv1.Refusal {
	out := &slipfitv1.Refusal{
		Code:   proto.Int32(int32(codes.InvalidArgument)),
		Reason: proto.String(summary(violations)),
	}
	for _, v := range violations {
		out.Violations = append(out.Violations, &slipfitv1.Violation{Path: proto.String(v.Path), Reason: proto.String(placed(v))})
	}
	return out
}

// summary says in one sentence what is wrong.
func summary(violations []Violation) string {
	switch len(violations) {
	case 0:
		return "the document is not good"
	case 1:
		return "the document is not good: " + cut(violations[0].String())
	default:
		return fmt.Sprintf("the document is not good in %d places; the first: %s", len(violations), cut(violations[0].String()))
	}
}
