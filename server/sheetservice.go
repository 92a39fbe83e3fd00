package server

import (
	"context"
	"fmt"
	"unicode/utf8"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// SheetMaker turns an answer into a build's printable record. The service knows
// nothing of what such a page looks like.
type SheetMaker struct {
	// Facts are the facts that a page shows, by name. Those that no pack works out
	// are left out.
	Facts []string
	// Make writes the page, with a day to print where it is not empty. Nil: the
	// service makes no sheets.
	Make func(build *v1.Build, answer *v1.CheckResponse, day string) (page string, err error)
}

// Field numbers and limits of slipfit.v1.MakeSheetRequest.
const (
	sheetCheck    = 1
	sheetDay      = 2
	dayCharacters = 64
)

// checkWants is the number of slipfit.v1.CheckRequest.wants.
const checkWants = 4

// sheets serves slipfit.v1.SheetService. The document is validated as it came, so
// its handler stands here instead of the generated one.
type sheets struct {
	*checks
	maker SheetMaker
}

// sheetServiceDesc is the generated description with a handler for raw messages.
func sheetServiceDesc() *grpc.ServiceDesc {
	return &grpc.ServiceDesc{
		ServiceName: v1.SheetService_ServiceDesc.ServiceName,
		HandlerType: (*any)(nil),
		Metadata:    v1.SheetService_ServiceDesc.Metadata,
		Methods:     []grpc.MethodDesc{{MethodName: "MakeSheet", Handler: handleMakeSheet}},
	}
}

func handleMakeSheet(srv any, ctx context.Context, decode func(any) error, interceptor grpc.UnaryServerInterceptor) (any, error) {
	request := new(raw)
	if err := decode(request); err != nil {
		return nil, err
	}
	s := srv.(*sheets)
	if interceptor == nil {
		return s.make(ctx, request)
	}
	info := &grpc.UnaryServerInfo{Server: srv, FullMethod: v1.SheetService_MakeSheet_FullMethodName}
	return interceptor(ctx, request, info, func(ctx context.Context, request any) (any, error) {
		return s.make(ctx, request.(*raw))
	})
}

// make holds its place among the checks until the page is written.
func (s *sheets) make(ctx context.Context, request *raw) (*v1.MakeSheetResponse, error) {
	lower, err := s.tenants.of(ctx)
	if err != nil {
		return nil, err
	}
	if !s.gate.enter() {
		return nil, s.gate.refusal()
	}
	defer s.gate.leave()
	question, day, violations := openSheetRequest(request.bytes)
	if len(violations) == 0 {
		violations = s.validator.Check(question)
	}
	if len(violations) > 0 {
		return nil, document.Status(violations).Err()
	}
	check, build, err := s.wanting(question)
	if err != nil {
		return nil, statusOf(err).Err()
	}
	encoded, err := s.pipeline.CheckOver(ctx, lower, check)
	if err != nil {
		return nil, statusOf(err).Err()
	}
	answer := new(v1.CheckResponse)
	if err := proto.Unmarshal(encoded, answer); err != nil {
		return nil, status.Error(codes.Internal, "the packs' answer cannot be read: "+err.Error())
	}
	page, err := s.maker.Make(build, answer, day)
	if err != nil {
		return nil, status.Error(codes.Internal, err.Error())
	}
	return &v1.MakeSheetResponse{Html: &page, Ruleset: answer.Ruleset, Verdict: answer.Verdict}, nil
}

// wanting is a valid check that asks for what the page shows, in place of what it
// asked for itself, and its build.
func (s *sheets) wanting(question []byte) (check []byte, build *v1.Build, err error) {
	request := new(v1.CheckRequest)
	if err := proto.Unmarshal(question, request); err != nil {
		return nil, nil, err
	}
	request.Wants = nil
	if check, err = proto.Marshal(request); err != nil {
		return nil, nil, err
	}
	wants, err := s.pipeline.Provided(check, s.maker.Facts)
	if err != nil {
		return nil, nil, err
	}
	for _, fact := range wants {
		check = protowire.AppendTag(check, checkWants, protowire.BytesType)
		check = protowire.AppendString(check, fact)
	}
	return check, request.Build, nil
}

// openSheetRequest takes an encoded MakeSheetRequest apart without decoding the
// check.
func openSheetRequest(request []byte) (check []byte, day string, violations []document.Violation) {
	refuse := func(path, reason string) ([]byte, string, []document.Violation) {
		return nil, "", []document.Violation{{Path: path, Reason: reason}}
	}
	for b := request; len(b) > 0; {
		number, kind, n := protowire.ConsumeTag(b)
		if n < 0 || kind != protowire.BytesType {
			return refuse("", "the request is no slipfit.v1.MakeSheetRequest")
		}
		value, m := protowire.ConsumeBytes(b[n:])
		if m < 0 {
			return refuse("", "the request ends in the middle")
		}
		switch number {
		case sheetCheck:
			// A message that comes twice is one message, its encodings joined.
			check = append(check[:len(check):len(check)], value...)
		case sheetDay:
			day = string(value)
		default:
			return refuse("", fmt.Sprintf("the request has an unknown field %d", number))
		}
		b = b[n+m:]
	}
	if !utf8.ValidString(day) {
		return refuse("day", "day is no UTF-8; send text as UTF-8")
	}
	if n := utf8.RuneCountInString(day); n > dayCharacters {
		return refuse("day", fmt.Sprintf("day has %d characters; it may have %d", n, dayCharacters))
	}
	return check, day, nil
}
