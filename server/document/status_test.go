package document

import (
	"regexp"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
)

func TestStatusOfABadDocument(t *testing.T) {
	violations := []Violation{
		{Path: "build.items[0].part", Reason: "part is missing; it is required here", Line: 3, Column: 5},
		{Path: "policy[1].parameter", Reason: strings.Repeat("ö", 200)},
	}
	s := Status(violations)
	want := "the document is not good in 2 places; the first: 3:5: build.items[0].part: part is missing; it is required here"
	if s.Code() != codes.InvalidArgument || s.Message() != want {
		t.Errorf("status is %v %q, want InvalidArgument %q", s.Code(), s.Message(), want)
	}
	var infos, requests int
	for _, detail := range s.Details() {
		switch d := detail.(type) {
		case *errdetails.ErrorInfo:
			infos++
			// AIP-193: reason of at most 63 characters of this form.
			if !regexp.MustCompile(`^[A-Z][A-Z0-9_]+[A-Z0-9]$`).MatchString(d.Reason) || len(d.Reason) > 63 {
				t.Errorf("reason %q is not of the form that AIP-193 asks for", d.Reason)
			}
			if d.Domain != "slipfit.example" || d.Metadata["violations"] != "2" {
				t.Errorf("ErrorInfo is %v", d)
			}
		case *errdetails.BadRequest:
			requests++
			got := d.FieldViolations
			if len(got) != 2 || got[0].Field != "build.items[0].part" ||
				got[0].Description != "line 3, column 5: part is missing; it is required here" {
				t.Errorf("BadRequest is %v", d)
			}
			if last := got[1].Description; last != strings.Repeat("ö", 120)+"..." {
				t.Errorf("a long reason is cut to %q", last)
			}
		default:
			t.Errorf("unexpected detail %v", d)
		}
	}
	if infos != 1 || requests != 1 {
		t.Errorf("%d ErrorInfo and %d BadRequest, want one of each", infos, requests)
	}
}

func TestStatusStaysSmall(t *testing.T) {
	many := make([]Violation, 500)
	for i := range many {
		many[i] = Violation{Path: strings.Repeat("p", 1000), Reason: strings.Repeat("r", 1000)}
	}
	// A trailer of HTTP/2 is kept to 16 KiB by default in common proxies.
	const most = 12 << 10
	if size := proto.Size(Status(many).Proto()); size > most {
		t.Errorf("the status is %d bytes long, want at most %d", size, most)
	}
	if Status(nil).Code() != codes.OK {
		t.Error("no violations give an error")
	}
}

func TestRefusalInAStream(t *testing.T) {
	got := Refusal([]Violation{{Path: "build", Reason: "build is missing; it is required here"}})
	if got.GetCode() != int32(codes.InvalidArgument) || got.GetReason() != "the document is not good: build: build is missing; it is required here" ||
		len(got.Violations) != 1 || got.Violations[0].GetPath() != "build" {
		t.Errorf("Refusal gives %v", got)
	}
}
