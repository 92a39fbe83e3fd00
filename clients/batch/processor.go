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
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// Service answers chunks by a service: each chunk is one stream of CheckMany.
type Service struct {
	conn    grpc.ClientConnInterface
	resolve func(fromFile, ref string) (*v1.Part, error)
	file    string
	parts   *partCache
}

// NewService answers chunks over a connection. Parts that a line names by their file
// are read by resolve, relative to file; without it, they are refused.
func NewService(conn grpc.ClientConnInterface, file string, resolve func(fromFile, ref string) (*v1.Part, error)) *Service {
	return &Service{conn, resolve, file, newPartCache()}
}

// attempts is how often a chunk is asked while the service is away for a moment.
const attempts = 4

// Process answers one chunk. An error is about the service, never about a line.
func (s *Service) Process(ctx context.Context, c *Chunk) (Answer, error) {
	w := newAnswers(c)
	questions := make([][]byte, len(c.Lines))
	for i := range c.Lines {
		questions[i] = s.question(w, i)
	}
	for attempt := 1; ; attempt++ {
		w.last = attempt == attempts
		err := s.ask(ctx, w.open(questions), w)
		if err == nil && len(w.open(questions)) == 0 {
			return w.answer()
		}
		if code := status.Code(err); w.last || ctx.Err() != nil || err != nil && code != codes.Unavailable && code != codes.ResourceExhausted {
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

func (s *Service) ask(ctx context.Context, questions [][]byte, w *answers) error {
	if len(questions) == 0 {
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
		for _, q := range questions {
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
		if err := w.take(reply); err != nil {
			return err
		}
	}
}

// Field numbers of slipfit.v1.CheckManyRequest, CheckRequest and Build.
const (
	questionTag   = 1
	questionCheck = 2
	requestBuild  = 1
)

// question makes the encoded question of one line; nil for one that is refused here.
func (s *Service) question(w *answers, i int) []byte {
	line := &w.chunk.Lines[i]
	if line.Refusal != "" {
		w.refuse(i, &v1.Refusal{Reason: &line.Refusal})
		return nil
	}
	encoded := line.Text
	if !w.chunk.Binary {
		var refusal *v1.Refusal
		if encoded, refusal = s.encode(line.Text, w.chunk.Job.Parts); refusal != nil {
			w.refuse(i, refusal)
			return nil
		}
	}
	if w.chunk.Job.Parts {
		item := protowire.AppendString(protowire.AppendTag(nil, itemID, protowire.BytesType), "entry")
		item = protowire.AppendBytes(protowire.AppendTag(item, itemPart, protowire.BytesType), encoded)
		encoded = protowire.AppendBytes(protowire.AppendTag(nil, buildItems, protowire.BytesType), item)
	}
	check := protowire.AppendBytes(protowire.AppendTag(nil, requestBuild, protowire.BytesType), encoded)
	check = append(check, w.chunk.Job.Suffix...)
	if len(check) > document.MaxEncoded {
		reason := fmt.Sprintf("the document takes %d bytes encoded, more than the %d allowed; leave out parts that are not used", len(check), document.MaxEncoded)
		w.refuse(i, &v1.Refusal{Reason: &reason})
		return nil
	}
	q := protowire.AppendString(protowire.AppendTag(nil, questionTag, protowire.BytesType), strconv.Itoa(i))
	return protowire.AppendBytes(protowire.AppendTag(q, questionCheck, protowire.BytesType), check)
}

type message interface {
	protojsonMessage
	MarshalVT() ([]byte, error)
}

// encode reads a line of JSON. What protobuf's own reader takes is taken; only what
// it refuses goes the longer way for the contract's liberties and for the words.
func (s *Service) encode(text []byte, part bool) ([]byte, *v1.Refusal) {
	if !part {
		if encoded, err := s.parts.encodeBuild(text); err == nil {
			return encoded, nil
		}
	}
	var m message = new(v1.Build)
	if part {
		m = new(v1.Part)
	}
	if protojson.Unmarshal(text, m) != nil {
		options := document.Options{Format: document.FormatJSON, Resolve: s.resolve}
		if _, err := options.Read(s.file, text, m); err != nil {
			return nil, unreadable(err)
		}
	}
	encoded, err := m.MarshalVT()
	if err != nil {
		reason := "the document cannot be encoded: " + err.Error()
		return nil, &v1.Refusal{Reason: &reason}
	}
	return encoded, nil
}

func unreadable(err error) *v1.Refusal {
	var faults *document.Error
	if errors.As(err, &faults) {
		violations := faults.Violations()
		return document.Refusal(violations)
	}
	reason := err.Error()
	return &v1.Refusal{Reason: &reason}
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
