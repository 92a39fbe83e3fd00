package server

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"sync/atomic"
	"unicode/utf8"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/policy"
)

// Field numbers of slipfit.v1.CheckManyRequest and CheckManyResponse.
const (
	questionTag   = 1
	questionCheck = 2
	replyTag      = 1
	replyCheck    = 2
)

// Limits of one stream. The checks on their way keep the packs' batches full; with
// the bytes of answers that the client has not taken, they bound what a client that
// stops reading can hold.
const (
	streamChecks = 256
	streamUnsent = 1 << 20
)

// tagCharacters is how long a tag may be, by the contract.
const tagCharacters = 128

func handleCheckMany(srv any, stream grpc.ServerStream) error {
	s := srv.(*checks)
	lower, err := s.tenants.of(stream.Context())
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancelCause(stream.Context())
	defer cancel(nil)
	m := &conversation{
		checks: s, stream: stream, lower: lower, beside: s.shadow.under(stream.Context(), s.tenants),
		replies: make(chan []byte, streamChecks), slots: make(chan struct{}, streamChecks), sent: make(chan struct{}, 1),
	}
	sent := make(chan struct{})
	go func() {
		defer close(sent)
		if err := m.reply(ctx); err != nil {
			cancel(err)
		}
	}()
	listened := make(chan error, 1)
	go func() { listened <- m.listen(ctx) }()
	select {
	case err = <-listened:
	case <-s.stopping.Done():
		// Listening may be waiting for a client that says nothing more; it ends with
		// the stream.
		err = errStopping
	}
	if err == nil || errors.Is(err, errStopping) {
		err = errors.Join(err, m.finish(ctx))
	}
	cancel(err)
	<-sent
	if errors.Is(err, errStopping) {
		return errStopping
	}
	return err
}

// finish waits until everything that was asked is answered: until every slot is
// free.
func (m *conversation) finish(ctx context.Context) error {
	for range streamChecks {
		select {
		case m.slots <- struct{}{}:
		case <-ctx.Done():
			return context.Cause(ctx)
		}
	}
	return nil
}

// conversation is one CheckMany stream: a check takes a slot when it is read and
// gives it back when its answer is sent.
type conversation struct {
	checks  *checks
	stream  grpc.ServerStream
	lower   policy.Values // of the tenant, under what requests set
	beside  policy.Values // the same where the candidate judges
	replies chan []byte
	slots   chan struct{}
	unsent  atomic.Int64  // bytes of answers that wait for the client
	sent    chan struct{} // told when they have become fewer
}

func (m *conversation) listen(ctx context.Context) error {
	for {
		question := new(raw)
		if err := m.stream.RecvMsg(question); err != nil {
			if errors.Is(err, io.EOF) {
				return nil
			}
			return err
		}
		if err := m.takeSlot(ctx); err != nil {
			return err
		}
		if err := m.checks.gate.wait(ctx); err != nil {
			<-m.slots
			return err
		}
		m.ask(question.bytes)
	}
}

// takeSlot waits until one more check of this stream may be on its way.
func (m *conversation) takeSlot(ctx context.Context) error {
	stopping := m.checks.stopping.Done()
	for m.unsent.Load() > streamUnsent {
		select {
		case <-m.sent:
		case <-stopping:
			return errStopping
		case <-ctx.Done():
			return context.Cause(ctx)
		}
	}
	if m.checks.stopping.Err() != nil {
		return errStopping
	}
	select {
	case m.slots <- struct{}{}:
		return nil
	case <-stopping:
		return errStopping
	case <-ctx.Done():
		return context.Cause(ctx)
	}
}

// ask starts one check. The replies channel has room for every slot, so that the
// pipeline's goroutine which calls back is never held up.
func (m *conversation) ask(question []byte) {
	tag, check, err := openQuestion(question)
	tag, bad := keepTag(tag)
	if err = cmp.Or(err, bad); err != nil {
		m.refuse(tag, &v1.Refusal{Code: ptr(int32(codes.InvalidArgument)), Reason: ptr(err.Error())})
		return
	}
	if violations := m.checks.validator.Check(check); len(violations) > 0 {
		m.refuse(tag, document.Refusal(violations))
		return
	}
	picked := m.checks.shadow.pick()
	_, err = m.checks.pipeline.SubmitOver(m.lower, check, func(answer []byte) {
		picked.Answered(m.beside, check, answer)
		m.checks.gate.leaveStream()
		m.hold(appendReply(tag, answer))
	})
	if err != nil {
		m.refuse(tag, refusalOf(err))
	}
}

// refusalOf turns an error of the pipeline into a refusal.
func refusalOf(err error) *v1.Refusal {
	if violations := violationsOf(err); violations != nil {
		return document.Refusal(violations)
	}
	st := statusOf(err)
	return &v1.Refusal{Code: ptr(int32(st.Code())), Reason: ptr(st.Message())}
}

// refuse answers a question that was never submitted, and gives back its place.
func (m *conversation) refuse(tag []byte, refusal *v1.Refusal) {
	m.checks.gate.leaveStream()
	response := &v1.CheckManyResponse{Result: &v1.CheckManyResponse_Refusal{Refusal: refusal}}
	if tag != nil {
		response.Tag = ptr(string(tag))
	}
	reply, err := response.MarshalVT()
	if err != nil {
		panic(err) // only strings and numbers of our own
	}
	m.hold(reply)
}

// hold keeps a reply until the client takes it.
func (m *conversation) hold(reply []byte) {
	m.unsent.Add(int64(len(reply)))
	m.replies <- reply
}

func (m *conversation) reply(ctx context.Context) error {
	for {
		select {
		case reply := <-m.replies:
			if err := m.stream.SendMsg(&raw{reply}); err != nil {
				return err
			}
			m.unsent.Add(-int64(len(reply)))
			select {
			case m.sent <- struct{}{}:
			default:
			}
			<-m.slots
		case <-ctx.Done():
			return nil
		}
	}
}

// openQuestion takes an encoded CheckManyRequest apart without decoding the check.
// Whatever is wrong with it, the tag that it returns can stand in the answer.
func openQuestion(question []byte) (tag, check []byte, err error) {
	for b := question; len(b) > 0; {
		number, kind, n := protowire.ConsumeTag(b)
		if n < 0 || kind != protowire.BytesType {
			return tag, nil, fmt.Errorf("the question is no slipfit.v1.CheckManyRequest")
		}
		value, m := protowire.ConsumeBytes(b[n:])
		if m < 0 {
			return tag, nil, fmt.Errorf("the question ends in the middle")
		}
		switch number {
		case questionTag:
			tag = value
		case questionCheck:
			// A message that comes twice is one message, its encodings joined.
			if check != nil {
				value = append(check[:len(check):len(check)], value...)
			}
			check = value
		default:
			return tag, nil, fmt.Errorf("the question has an unknown field %d", number)
		}
		b = b[n+m:]
	}
	return tag, check, nil
}

// keepTag makes a tag one that can be sent back: text of at most tagCharacters.
func keepTag(tag []byte) ([]byte, error) {
	if !utf8.Valid(tag) {
		kept, _ := keepTag(bytes.ToValidUTF8(tag, []byte("\uFFFD")))
		return kept, fmt.Errorf("tag is no UTF-8; send text as UTF-8")
	}
	n := 0
	for i := range string(tag) {
		if n == tagCharacters {
			return tag[:i], fmt.Errorf("tag has %d characters; it may have %d", utf8.RuneCount(tag), tagCharacters)
		}
		n++
	}
	return tag, nil
}

func appendReply(tag, answer []byte) []byte {
	b := make([]byte, 0, len(tag)+len(answer)+16)
	if tag != nil {
		b = protowire.AppendTag(b, replyTag, protowire.BytesType)
		b = protowire.AppendBytes(b, tag)
	}
	b = protowire.AppendTag(b, replyCheck, protowire.BytesType)
	return protowire.AppendBytes(b, answer)
}

func ptr[T any](v T) *T { return &v }
