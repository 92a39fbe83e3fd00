package server_test

import (
	"context"
	"fmt"
	"net"
	"os"
	"sync"
	"sync/atomic"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/encoding"
	encodingproto "google.golang.org/grpc/encoding/proto"
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/server"
	"slipfit.example/server/document"
	"slipfit.example/server/packs"
)

// bytesCodec sends and receives encoded messages as they are, so that every rate
// below is of the service and not of the client's protobuf.
type bytesCodec struct{}

func (bytesCodec) Name() string { return encodingproto.Name }

func (bytesCodec) Marshal(v any) (mem.BufferSlice, error) {
	return mem.BufferSlice{mem.SliceBuffer(*v.(*[]byte))}, nil
}

func (bytesCodec) Unmarshal(data mem.BufferSlice, v any) error {
	*v.(*[]byte) = data.Materialize()
	return nil
}

var _ encoding.CodecV2 = bytesCodec{}

// BenchmarkCheck measures, in one run on the same build: a bare gRPC echo of the
// same bytes, Check through the four packs, CheckMany, and the same rules called
// in process. All clients are on loopback TCP in this process and send encoded
// bytes; callers are goroutines on one connection.
func BenchmarkCheck(b *testing.B) {
	check := demoCheck(b)
	b.Logf("a check takes %d bytes", len(check))
	echo := dialEcho(b)
	service := dialService(b)
	for _, callers := range []int{1, 16, 64} {
		b.Run(fmt.Sprintf("echo/callers=%d", callers), func(b *testing.B) {
			unary(b, echo, "/test.Echo/Echo", check, callers)
		})
		b.Run(fmt.Sprintf("Check/callers=%d", callers), func(b *testing.B) {
			unary(b, service, v1.CheckService_Check_FullMethodName, check, callers)
		})
	}
	b.Run("CheckMany/streams=4/window=64", func(b *testing.B) { many(b, service, check, 4, 64) })
	b.Run("in-process/goroutines=2", func(b *testing.B) { inProcess(b, check, 2) })
	b.Run("in-process/goroutines=1", func(b *testing.B) { inProcess(b, check, 1) })
}

func demoCheck(tb testing.TB) []byte {
	tb.Helper()
	const name = "../clients/demo/builds/archive-editor.yaml"
	data, err := os.ReadFile(name)
	if err != nil {
		tb.Fatal(err)
	}
	build := new(v1.Build)
	options := document.Options{Resolve: document.FileResolver("..")}
	if _, err := options.Read("clients/demo/builds/archive-editor.yaml", data, build); err != nil {
		tb.Fatal(err)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: build})
	if err != nil {
		tb.Fatal(err)
	}
	return check
}

func listen(tb testing.TB, serve func(net.Listener) error) *grpc.ClientConn {
	tb.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		tb.Fatal(err)
	}
	go func() { _ = serve(l) }()
	conn, err := grpc.NewClient(l.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.ForceCodecV2(bytesCodec{}), grpc.MaxCallRecvMsgSize(16<<20)))
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { _ = conn.Close() })
	return conn
}

func dialEcho(b *testing.B) *grpc.ClientConn {
	s := grpc.NewServer(grpc.ForceServerCodecV2(bytesCodec{}))
	s.RegisterService(&grpc.ServiceDesc{ServiceName: "test.Echo", HandlerType: (*any)(nil), Methods: []grpc.MethodDesc{{
		MethodName: "Echo",
		Handler: func(_ any, _ context.Context, decode func(any) error, _ grpc.UnaryServerInterceptor) (any, error) {
			var message []byte
			if err := decode(&message); err != nil {
				return nil, err
			}
			return &message, nil
		},
	}}}, nil)
	b.Cleanup(s.Stop)
	return listen(b, s.Serve)
}

func dialService(b *testing.B) *grpc.ClientConn {
	s := start(b, server.Config{PackOptions: packs.Options{NoTLS: os.Getenv("SLIPFIT_BENCH_TLS") == ""}})
	return listen(b, s.Serve)
}

// share runs f b.N times over so many goroutines.
func share(b *testing.B, goroutines int, f func() error) {
	b.ReportAllocs()
	b.ResetTimer()
	var next atomic.Int64
	var group sync.WaitGroup
	for range goroutines {
		group.Go(func() {
			for next.Add(1) <= int64(b.N) {
				if err := f(); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	group.Wait()
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "checks/s")
}

func unary(b *testing.B, conn *grpc.ClientConn, method string, message []byte, callers int) {
	share(b, callers, func() error {
		var answer []byte
		return conn.Invoke(context.Background(), method, &message, &answer)
	})
}

func many(b *testing.B, conn *grpc.ClientConn, check []byte, streams, window int) {
	question := protowire.AppendTag(nil, 1, protowire.BytesType)
	question = protowire.AppendString(question, "t")
	question = protowire.AppendTag(question, 2, protowire.BytesType)
	question = protowire.AppendBytes(question, check)
	b.ReportAllocs()
	b.ResetTimer()
	var group sync.WaitGroup
	for i := range streams {
		group.Go(func() {
			n := b.N / streams
			if i < b.N%streams {
				n++
			}
			if err := converse(conn, question, n, window); err != nil {
				b.Error(err)
			}
		})
	}
	group.Wait()
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "checks/s")
}

// converse sends n questions on one stream with so many on their way.
func converse(conn *grpc.ClientConn, question []byte, n, window int) error {
	stream, err := conn.NewStream(context.Background(),
		&grpc.StreamDesc{ServerStreams: true, ClientStreams: true}, v1.CheckService_CheckMany_FullMethodName)
	if err != nil {
		return err
	}
	room := make(chan struct{}, window)
	sent := make(chan error, 1)
	go func() {
		for range n {
			room <- struct{}{}
			if err := stream.SendMsg(&question); err != nil {
				sent <- err
				return
			}
		}
		sent <- stream.CloseSend()
	}()
	for range n {
		var answer []byte
		if err := stream.RecvMsg(&answer); err != nil {
			return err
		}
		<-room
	}
	return <-sent
}

func inProcess(b *testing.B, check []byte, goroutines int) {
	local := newLocal(b)
	share(b, goroutines, func() error {
		_, err := local.check(check)
		return err
	})
}

// local is the same rules without processes: validation, every pack in the order
// of its needs, and the answer put together.
type local struct {
	validator  *document.Validator
	evaluators []*kit.Evaluator
	scratch    sync.Pool
}

func newLocal(tb testing.TB) *local {
	validator, err := document.New()
	if err != nil {
		tb.Fatal(err)
	}
	l := &local{validator: validator}
	for _, name := range []string{"clearance", "power", "interface", "mounting", "thermal"} {
		e, err := kit.NewEvaluator(builtin[name]())
		if err != nil {
			tb.Fatal(err)
		}
		l.evaluators = append(l.evaluators, e)
	}
	l.scratch.New = func() any {
		outcomes := make([]kit.Outcome, len(l.evaluators))
		return &outcomes
	}
	return l
}

func (l *local) check(check []byte) ([]byte, error) {
	if violations := l.validator.Check(check); len(violations) > 0 {
		return nil, fmt.Errorf("the build is bad: %v", violations)
	}
	scratch := l.scratch.Get().(*[]kit.Outcome)
	defer l.scratch.Put(scratch)
	outcomes := *scratch
	var facts []kit.Fact
	for i, e := range l.evaluators {
		if err := e.Evaluate(check, facts, &outcomes[i]); err != nil {
			return nil, err
		}
		facts = append(facts, outcomes[i].Facts...)
	}
	size := 0
	for i := range outcomes {
		size += len(outcomes[i].Findings)
	}
	answer := make([]byte, 0, size)
	for i := range outcomes {
		answer = append(answer, outcomes[i].Findings...)
	}
	return answer, nil
}
