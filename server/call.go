package server

import (
	"context"
	"fmt"
	"sync"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/mem"
	"google.golang.org/grpc/status"
)

// Other faces of the service, such as HTTP, reach the same handlers without a
// connection: Call and Stream go through the same interceptors, limits and metrics as
// gRPC does. A face is to end in what it gave to EndWith, before the packs do.

// methods are the handlers by the full name of their method.
type methods struct {
	unary  map[string]unaryMethod
	stream map[string]streamMethod
}

type unaryMethod struct {
	service any
	desc    grpc.MethodDesc
}

type streamMethod struct {
	service any
	desc    grpc.StreamDesc
}

// service registers a service with gRPC, and for Call and Stream.
func (s *Server) service(desc *grpc.ServiceDesc, handler any) {
	s.grpc.RegisterService(desc, handler)
	s.transcoded.RegisterService(desc, handler)
	for _, m := range desc.Methods {
		s.methods.unary[fullMethod(desc, m.MethodName)] = unaryMethod{handler, m}
	}
	for _, m := range desc.Streams {
		s.methods.stream[fullMethod(desc, m.StreamName)] = streamMethod{handler, m}
	}
}

func fullMethod(desc *grpc.ServiceDesc, method string) string {
	return "/" + desc.ServiceName + "/" + method
}

// Call answers one encoded request of a unary method, named as "/package.Service/Method",
// with an encoded answer. Request metadata is in ctx, as gRPC has it there. The error
// is a status. The request's bytes must stay as they are.
func (s *Server) Call(ctx context.Context, method string, request []byte) ([]byte, error) {
	m, known := s.methods.unary[method]
	if !known {
		return nil, unknownMethod(method)
	}
	if len(request) > questionBytes {
		return nil, status.Errorf(codes.ResourceExhausted, "the request is %d bytes long once it is encoded; it may have %d", len(request), questionBytes)
	}
	format := newCodec()
	decode := func(into any) error {
		if err := format.Unmarshal(mem.BufferSlice{mem.SliceBuffer(request)}, into); err != nil {
			return status.Errorf(codes.InvalidArgument, "the request cannot be decoded: %v", err)
		}
		return nil
	}
	answer, err := m.desc.Handler(m.service, ctx, decode, s.unary)
	if err != nil {
		return nil, err
	}
	encoded, err := format.Marshal(answer)
	if err != nil {
		return nil, status.Errorf(codes.Internal, "the answer cannot be encoded: %v", err)
	}
	return encoded.Materialize(), nil
}

// Stream answers a stream of a streaming method. It takes encoded messages of the
// stream as *[]byte, and gives it them so. The error is a status.
func (s *Server) Stream(method string, stream grpc.ServerStream) error {
	m, known := s.methods.stream[method]
	if !known {
		return unknownMethod(method)
	}
	info := &grpc.StreamServerInfo{FullMethod: method, IsClientStream: m.desc.ClientStreams, IsServerStream: m.desc.ServerStreams}
	return s.stream(m.service, encodedStream{stream, newCodec()}, info, m.desc.Handler)
}

func unknownMethod(method string) error {
	return status.Error(codes.Unimplemented, fmt.Sprintf("the service has no method %.200q", method))
}

// encodedStream shows a stream of encoded messages as one of the handlers' messages.
type encodedStream struct {
	grpc.ServerStream
	codec codec
}

func (s encodedStream) RecvMsg(m any) error {
	var message []byte
	if err := s.ServerStream.RecvMsg(&message); err != nil {
		return err
	}
	if err := s.codec.Unmarshal(mem.BufferSlice{mem.SliceBuffer(message)}, m); err != nil {
		return status.Errorf(codes.InvalidArgument, "a message of the stream cannot be decoded: %v", err)
	}
	return nil
}

func (s encodedStream) SendMsg(m any) error {
	encoded, err := s.codec.Marshal(m)
	if err != nil {
		return status.Errorf(codes.Internal, "an answer cannot be encoded: %v", err)
	}
	message := encoded.Materialize()
	return s.ServerStream.SendMsg(&message)
}

// Transcoded is the service for a transcoder, to be called as a http.Handler. It is
// a gRPC server of its own: one that has a listener cannot stop gracefully while
// requests come by this way.
func (s *Server) Transcoded() *grpc.Server { return s.transcoded }

// Digest is the ruleset digest with which a request of Check would be answered, worked
// out without taking it through the packs. Request metadata is in ctx, as for Call. The
// error says why Check would refuse the request; of a request that is refused for its
// build it says nothing.
func (s *Server) Digest(ctx context.Context, check []byte) (string, error) {
	lower, err := s.checks.tenants.of(ctx)
	if err != nil {
		return "", err
	}
	digest, err := s.pipeline.Digest(lower, check)
	if err != nil {
		return "", statusOf(err).Err()
	}
	return digest, nil
}

// EndWith has Stop call end beside the end of gRPC, and wait for it: what comes by
// another face needs the packs as well. End ends at the latest with its context. It
// is to be called before Stop.
func (s *Server) EndWith(end func(context.Context)) { s.ends = append(s.ends, end) }

// endFaces ends gRPC and the other faces, those requests that are on their way with
// them, at the latest with ctx.
func (s *Server) endFaces(ctx context.Context) {
	var ending sync.WaitGroup
	for _, end := range s.ends {
		ending.Go(func() { end(ctx) })
	}
	ended := make(chan struct{})
	go func() {
		s.grpc.GracefulStop()
		close(ended)
	}()
	select {
	case <-ended:
	case <-ctx.Done():
		s.grpc.Stop()
		<-ended
	}
	ending.Wait()
	s.transcoded.Stop()
}

// chainUnary makes one interceptor of several, the first outermost.
func chainUnary(chain ...grpc.UnaryServerInterceptor) grpc.UnaryServerInterceptor {
	if len(chain) == 1 {
		return chain[0]
	}
	outer, inner := chain[0], chainUnary(chain[1:]...)
	return func(ctx context.Context, request any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
		return outer(ctx, request, info, func(ctx context.Context, request any) (any, error) {
			return inner(ctx, request, info, next)
		})
	}
}

// chainStream does the same for streams.
func chainStream(chain ...grpc.StreamServerInterceptor) grpc.StreamServerInterceptor {
	if len(chain) == 1 {
		return chain[0]
	}
	outer, inner := chain[0], chainStream(chain[1:]...)
	return func(service any, stream grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
		return outer(service, stream, info, func(service any, stream grpc.ServerStream) error {
			return inner(service, stream, info, next)
		})
	}
}
