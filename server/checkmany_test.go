package server_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

// manyStream is a CheckMany stream of encoded messages.
type manyStream struct {
	t      testing.TB
	stream grpc.ClientStream
}

// openMany needs a connection that sends bytes as they are.
func openMany(t testing.TB, conn *grpc.ClientConn) *manyStream {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	stream, err := conn.NewStream(ctx, &grpc.StreamDesc{ServerStreams: true, ClientStreams: true}, v1.CheckService_CheckMany_FullMethodName)
	if err != nil {
		t.Fatal(err)
	}
	return &manyStream{t, stream}
}

// question is an encoded CheckManyRequest, without a tag where that is nil.
func question(tag *string, check []byte) []byte {
	var b []byte
	if tag != nil {
		b = protowire.AppendString(protowire.AppendTag(b, 1, protowire.BytesType), *tag)
	}
	return protowire.AppendBytes(protowire.AppendTag(b, 2, protowire.BytesType), check)
}

func (m *manyStream) ask(question []byte) {
	m.t.Helper()
	if err := m.stream.SendMsg(&question); err != nil {
		m.t.Fatal(err)
	}
}

func (m *manyStream) halfClose() {
	m.t.Helper()
	if err := m.stream.CloseSend(); err != nil {
		m.t.Fatal(err)
	}
}

// next is the next reply; the error is the stream's end.
func (m *manyStream) next() (*v1.CheckManyResponse, error) {
	m.t.Helper()
	var encoded []byte
	if err := m.stream.RecvMsg(&encoded); err != nil {
		return nil, err
	}
	reply := new(v1.CheckManyResponse)
	if err := proto.Unmarshal(encoded, reply); err != nil {
		m.t.Fatalf("a reply cannot be decoded: %v", err)
	}
	return reply, nil
}

// rest is everything until the stream ends well.
func (m *manyStream) rest() []*v1.CheckManyResponse {
	m.t.Helper()
	var out []*v1.CheckManyResponse
	for {
		reply, err := m.next()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			m.t.Fatal(err)
		}
		out = append(out, reply)
	}
}

func TestCheckManyAnswersEveryQuestionUnderItsTag(t *testing.T) {
	noLeaks(t)
	const questions = 320 // more than may be on its way at once
	conn := listen(t, start(t, server.Config{}).Serve)
	check := encode(t, demoRequest(t))
	var known []byte
	if err := conn.Invoke(soon(t), v1.CheckService_Check_FullMethodName, &check, &known); err != nil {
		t.Fatal(err)
	}
	want := new(v1.CheckResponse)
	if err := proto.Unmarshal(known, want); err != nil {
		t.Fatal(err)
	}
	stream := openMany(t, conn)
	go func() {
		for i := range questions {
			q := question(ptr(fmt.Sprintf("ask-%d", i)), check)
			if err := stream.stream.SendMsg(&q); err != nil {
				t.Error(err)
				return
			}
		}
		if err := stream.stream.CloseSend(); err != nil {
			t.Error(err)
		}
	}()
	seen := map[string]bool{}
	for _, reply := range stream.rest() {
		if seen[reply.GetTag()] {
			t.Fatalf("tag %q came back twice", reply.GetTag())
		}
		seen[reply.GetTag()] = true
		if !proto.Equal(reply.GetCheck(), want) {
			t.Fatalf("the answer to %s is not that of Check", reply.GetTag())
		}
	}
	if len(seen) != questions {
		t.Errorf("%d answers to %d questions", len(seen), questions)
	}
}

// Whatever stands in a tag, the reply can be decoded and the stream goes on.
func TestCheckManyTags(t *testing.T) {
	noLeaks(t)
	stream := openMany(t, listen(t, start(t, drillConfig()).Serve))
	good := encode(t, plainCheck("good"))
	for _, c := range []struct {
		name    string
		asked   *string
		back    *string
		refused string
	}{
		{"absent", nil, nil, ""},
		{"empty", ptr(""), ptr(""), ""},
		{"128 characters of two bytes", ptr(strings.Repeat("ü", 128)), ptr(strings.Repeat("ü", 128)), ""},
		{"129 characters", ptr(strings.Repeat("ü", 129)), ptr(strings.Repeat("ü", 128)), "tag has 129 characters; it may have 128"},
		{"no UTF-8", ptr("a\xffb"), ptr("a\uFFFDb"), "tag is no UTF-8; send text as UTF-8"},
		{"no UTF-8 and long", ptr(strings.Repeat("ü", 128) + "\xff"), ptr(strings.Repeat("ü", 128)), "tag is no UTF-8; send text as UTF-8"},
	} {
		stream.ask(question(c.asked, good))
		reply, err := stream.next()
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if (reply.Tag == nil) != (c.back == nil) || reply.GetTag() != cmpOr(c.back) {
			t.Errorf("%s: tag %q came back", c.name, reply.GetTag())
		}
		if reply.GetRefusal().GetReason() != c.refused {
			t.Errorf("%s: refused with %q, want %q", c.name, reply.GetRefusal().GetReason(), c.refused)
		}
	}
	stream.halfClose()
	if extra := stream.rest(); len(extra) != 0 {
		t.Errorf("%d replies too many", len(extra))
	}
}

func cmpOr(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func TestCheckManyRefusesWhatIsNoQuestion(t *testing.T) {
	noLeaks(t)
	stream := openMany(t, listen(t, start(t, drillConfig()).Serve))
	good := encode(t, plainCheck("good"))
	for _, c := range []struct {
		name     string
		question []byte
		want     string // empty: answered
	}{
		{"an unknown field", append(question(ptr("t"), good), 0x1a, 0), "the question has an unknown field 3"},
		{"another wire type", append(question(ptr("t"), good), 0x08, 1), "the question is no slipfit.v1.CheckManyRequest"},
		{"cut off", append(question(ptr("t"), nil), 0x12, 9, 1), "the question ends in the middle"},
		{"empty", nil, "the document is not good: the document is empty"},
		{"in two pieces", append(question(ptr("t"), good[:0]), question(ptr("t"), good)...), ""},
	} {
		stream.ask(c.question)
		reply, err := stream.next()
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if got := reply.GetRefusal().GetReason(); got != c.want {
			t.Errorf("%s: refused with %q, want %q", c.name, got, c.want)
		}
	}
	stream.halfClose()
	stream.rest()
}

// Half-closing ends nothing: the stream ends after the last answer.
func TestCheckManyAnswersWhatIsOpenAfterHalfClose(t *testing.T) {
	noLeaks(t)
	s := start(t, drillConfig())
	stream := openMany(t, listen(t, s.Serve))
	latch := newLatch(t)
	const questions = 40
	for i := range questions {
		stream.ask(question(ptr(fmt.Sprint(i)), encode(t, latch.held("held"))))
	}
	stream.halfClose()
	eventually(t, "all are on their way", func() bool { return now(t, s, "slipfit_checks_in_flight") == questions })
	latch.open(t)
	if got := len(stream.rest()); got != questions {
		t.Errorf("%d answers after half-close, want %d", got, questions)
	}
}

// A client that asks on and on and never reads holds neither the server nor its
// memory.
func TestCheckManyBoundsAClientThatStopsReading(t *testing.T) {
	noLeaks(t)
	const bound = 96 << 20
	s := start(t, server.Config{})
	deaf := listen(t, s.Serve)
	others := v1.NewCheckServiceClient(connect(t, s))
	check := demoRequest(t)
	q := question(ptr("unread"), encode(t, check))
	before := heap()
	var asked int
	sending := make(chan struct{})
	stream := openMany(t, deaf)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	go func() {
		defer close(sending)
		for ctx.Err() == nil && stream.stream.SendMsg(&q) == nil {
			asked++
		}
	}()
	judged := func() float64 { return now(t, s, "slipfit_rule_verdicts_total") }
	// The stream has come to rest when nothing is judged any more.
	last := -1.0
	eventually(t, "the server reads no further", func() bool {
		moved := judged()
		rests := moved == last && now(t, s, "slipfit_checks_in_flight") == 0 && moved > 0
		last = moved
		return rests
	})
	for range 20 {
		if _, err := others.Check(soon(t), check); err != nil {
			t.Fatalf("another client is not served: %v", err)
		}
	}
	if grown := int64(heap()) - int64(before); grown > bound {
		t.Errorf("the heap grew by %d bytes for a client that does not read, more than %d", grown, bound)
	}
	cancel()
	_ = deaf.Close()
	<-sending
	t.Logf("%d questions were taken before the server read no further", asked)
}

func heap() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// However many streams wait for room, single checks come in.
func TestCheckManyLeavesRoomForSingleChecks(t *testing.T) {
	noLeaks(t)
	config := drillConfig()
	config.Checks = 8
	s := start(t, config)
	conn := listen(t, s.Serve)
	latch := newLatch(t)
	for range 3 {
		stream := openMany(t, conn)
		for range 20 {
			stream.ask(question(nil, encode(t, latch.held("held"))))
		}
	}
	eventually(t, "streams have their share", func() bool { return now(t, s, "slipfit_checks_in_flight") == 4 })
	client := v1.NewCheckServiceClient(connect(t, s))
	answered := make(chan error, 1)
	go func() {
		_, err := client.Check(soon(t), latch.held("single"))
		answered <- err
	}()
	eventually(t, "the single check is inside", func() bool { return now(t, s, "slipfit_checks_in_flight") == 5 })
	latch.open(t)
	if err := <-answered; err != nil {
		t.Error(err)
	}
}

// A stopping service answers what a stream has asked, and then ends it.
func TestStopAnswersWhatStreamsHaveAsked(t *testing.T) {
	noLeaks(t)
	s := start(t, drillConfig())
	stream := openMany(t, listen(t, s.Serve))
	latch := newLatch(t)
	const questions = 10
	for range questions {
		stream.ask(question(nil, encode(t, latch.held("held"))))
	}
	eventually(t, "all are on their way", func() bool { return now(t, s, "slipfit_checks_in_flight") == questions })
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		stop(t, s)
	}()
	latch.open(t)
	answers := 0
	for {
		_, err := stream.next()
		if err != nil {
			wantCode(t, err, codes.Unavailable)
			if status.Convert(err).Message() != "the service is stopping; ask again what has not been answered" {
				t.Errorf("the stream ended with %v", err)
			}
			break
		}
		answers++
	}
	if answers != questions {
		t.Errorf("%d answers before the end, want %d", answers, questions)
	}
	<-stopped
}
