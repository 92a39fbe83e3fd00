package batch

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/mem"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Service answers chunks by a service: each chunk is one stream of CheckMany.
type Service struct {
	conn      grpc.ClientConnInterface
	questions *questions
}

// NewService answers chunks over a connection. Parts that a line names by their file
// are read by resolve; without it, they are refused.
func NewService(conn grpc.ClientConnInterface, resolve Resolve) *Service {
	return &Service{conn, newQuestions(resolve)}
}

// attempts is how often a chunk is asked while the service is away for a moment.
const attempts = 4

// Process answers one chunk. An error is about the service, never about a line.
func (s *Service) Process(ctx context.Context, c *Chunk) (Answer, error) {
	a := &asking{Answers: NewAnswers(c), checks: make([][]byte, len(c.Lines))}
	for i := range c.Lines {
		check, refusal := s.questions.question(c, i)
		if refusal != nil {
			a.Refuse(i, refusal)
			continue
		}
		a.checks[i] = check
	}
	for attempt := 1; ; attempt++ {
		a.last = attempt == attempts
		err := s.ask(ctx, a)
		if err == nil && len(a.Open()) == 0 {
			return a.Answer()
		}
		if code := status.Code(err); a.last || ctx.Err() != nil || err != nil && code != codes.Unavailable && code != codes.ResourceExhausted {
			return Answer{}, fmt.Errorf("the service did not answer: %s", status.Convert(err).Message())
		}
		select {
		case <-time.After(time.Duration(attempt*attempt) * 100 * time.Millisecond):
		case <-ctx.Done():
			return Answer{}, context.Cause(ctx)
		}
	}
}

var checkMany = &grpc.StreamDesc{StreamName: "CheckMany", ServerStreams: true, ClientStreams: true}

// asking is one chunk on its way through a service.
type asking struct {
	*Answers
	checks [][]byte
	last   bool // no further attempt follows: what is there is taken
}

// Field numbers of slipfit.v1.CheckManyRequest and CheckManyResponse.
const (
	questionTag   = 1
	questionCheck = 2
	replyTag      = 1
	replyCheck    = 2
	replyRefusal  = 3
)

// ask asks for everything that has no answer yet.
func (s *Service) ask(ctx context.Context, a *asking) error {
	open := a.Open()
	if len(open) == 0 {
		return nil
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stream, err := s.conn.NewStream(ctx, checkMany, v1.CheckService_CheckMany_FullMethodName, grpc.ForceCodecV2(bytesCodec{}))
	if err != nil {
		return err
	}
	sent := make(chan struct{})
	go func() {
		defer close(sent)
		for _, i := range open {
			q := protowire.AppendString(protowire.AppendTag(nil, questionTag, protowire.BytesType), strconv.Itoa(i))
			q = protowire.AppendBytes(protowire.AppendTag(q, questionCheck, protowire.BytesType), a.checks[i])
			if stream.SendMsg(&q) != nil {
				return // the reason comes with RecvMsg
			}
		}
		_ = stream.CloseSend()
	}()
	defer func() { <-sent }()
	defer cancel()
	for {
		var reply []byte
		if err := stream.RecvMsg(&reply); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
		if err := a.take(reply); err != nil {
			return err
		}
	}
}

// resourceExhausted is the status code of google.rpc.Code.
const resourceExhausted = 8

// take sets one encoded slipfit.v1.CheckManyResponse into its place.
func (a *asking) take(reply []byte) error {
	var tag string
	var check []byte
	var refusal *v1.Refusal
	err := EachField(reply, func(n protowire.Number, value []byte, _ uint64) error {
		switch n {
		case replyTag:
			tag = string(value)
		case replyCheck:
			check = value
		case replyRefusal:
			refusal = new(v1.Refusal)
			return refusal.UnmarshalVT(value)
		}
		return nil
	})
	if err != nil {
		return unreadableAnswer(err)
	}
	i, err := strconv.Atoi(tag)
	if err != nil || i < 0 || i >= len(a.checks) {
		return fmt.Errorf("an answer bears the tag %q, which was not asked", tag)
	}
	switch {
	case refusal != nil && refusal.GetCode() == resourceExhausted && !a.last:
		return nil // asked again with the next attempt
	case refusal != nil:
		a.Refuse(i, refusal)
		return nil
	}
	output, verdict, silent, err := a.chunk.Lines[i].answered(nil, check, a.chunk.Job.Detail)
	if err != nil || silent && !a.last {
		return err // a pack that was away for a moment is asked again
	}
	return a.Set(i, output, Outcome(verdict))
}

// bytesCodec hands encoded messages through as they are.
type bytesCodec struct{}

func (bytesCodec) Name() string { return "proto" }

func (bytesCodec) Marshal(v any) (mem.BufferSlice, error) {
	return mem.BufferSlice{mem.SliceBuffer(*v.(*[]byte))}, nil
}

func (bytesCodec) Unmarshal(data mem.BufferSlice, v any) error {
	*v.(*[]byte) = data.Materialize()
	return nil
}
