package gateway

import (
	"encoding/json"
	"net/http"
	"strconv"
	"time"

	"google.golang.org/genproto/googleapis/rpc/code"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"slipfit.example/server/document"
)

// problem is what is told of an error, by RFC 9457 (application/problem+json). Type
// is left out, which the RFC reads as "about:blank".
type problem struct {
	// Title is the same for all problems of one code.
	Title string `json:"title"`
	// Status is the HTTP status.
	Status int `json:"status"`
	// Detail says in a sentence what is wrong with this request.
	Detail string `json:"detail"`
	// Code is the name of the google.rpc.Code.
	Code string `json:"code"`
	// Reason is a word for programs, where there is one.
	Reason string `json:"reason,omitempty"`
	// Violations are the things that are wrong with the document, the first of them.
	Violations []violation `json:"violations,omitempty"`
	// RetryDelay is after how many seconds it is worth asking again, where it is.
	RetryDelay float64 `json:"retry_delay_seconds,omitempty"`
}

// violation is one thing that is wrong with a document.
type violation struct {
	// Path leads to it by the contract's field names; empty: the document as a whole.
	Path string `json:"path"`
	// Reason says in a sentence what is wrong.
	Reason string `json:"reason"`
}

// statuses are the HTTP statuses of codes, as google/rpc/code.proto gives them.
var statuses = map[codes.Code]int{
	codes.Canceled: 499, codes.InvalidArgument: 400, codes.DeadlineExceeded: 504, codes.NotFound: 404, codes.AlreadyExists: 409,
	codes.PermissionDenied: 403, codes.Unauthenticated: 401, codes.ResourceExhausted: 429, codes.FailedPrecondition: 400,
	codes.Aborted: 409, codes.OutOfRange: 400, codes.Unimplemented: 501, codes.Internal: 500, codes.Unavailable: 503, codes.DataLoss: 500,
}

var titles = map[codes.Code]string{
	codes.Canceled: "The request was given up", codes.InvalidArgument: "The request cannot be followed",
	codes.DeadlineExceeded: "The answer took too long", codes.NotFound: "Not found",
	codes.ResourceExhausted: "Too much at once", codes.FailedPrecondition: "Not in this state",
	codes.Unimplemented: "The service has no such thing", codes.Unavailable: "The service does not answer",
}

// problemOf is the problem that an error of the service tells.
func problemOf(err error) problem {
	st := status.Convert(err)
	p := problem{Title: titles[st.Code()], Status: statuses[st.Code()], Detail: st.Message(), Code: code.Code(st.Code()).String()}
	if p.Status == 0 {
		p.Status = http.StatusInternalServerError
	}
	if p.Title == "" {
		p.Title = "The service failed"
	}
	for _, detail := range st.Details() {
		switch d := detail.(type) {
		case *errdetails.ErrorInfo:
			p.Reason = d.GetReason()
		case *errdetails.RetryInfo:
			p.RetryDelay = d.GetRetryDelay().AsDuration().Seconds()
		case *errdetails.BadRequest:
			for _, v := range d.GetFieldViolations() {
				p.Violations = append(p.Violations, violation{v.GetField(), v.GetDescription()})
			}
		}
	}
	return p
}

// refused is the problem of a document that cannot be read.
func refused(violations []document.Violation) problem {
	return problemOf(document.Status(violations).Err())
}

// write answers with the problem.
func (p problem) write(w http.ResponseWriter) {
	h := w.Header()
	h.Set("Content-Type", "application/problem+json")
	h.Set("Cache-Control", "no-store")
	h.Del("ETag")
	if p.RetryDelay > 0 {
		wait := time.Duration(p.RetryDelay*float64(time.Second)).Truncate(time.Second) + time.Second
		h.Set("Retry-After", strconv.Itoa(int(wait.Seconds())))
	}
	w.WriteHeader(p.Status)
	_, _ = w.Write(p.json())
}

// json is the problem on one line.
func (p problem) json() []byte {
	text, err := json.Marshal(p)
	if err != nil {
		panic(err) // strings and finite numbers
	}
	return append(text, '\n')
}
