package gateway_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"testing"

	"connectrpc.com/vanguard"
	"connectrpc.com/vanguard/vanguardgrpc"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/encoding"
	encodingproto "google.golang.org/grpc/encoding/proto"
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/gateway"
)

// bytesCodec sends and receives encoded messages as they are, so that every rate below
// is of the service and not of the client.
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

// BenchmarkFaces measures one build by every face in one run: native gRPC, JSON at its
// route, JSON through the plain transcoder, Connect, and a question that is answered by
// 304. Clients are on loopback in this process and send and take bytes.
func BenchmarkFaces(b *testing.B) {
	// A check that costs the packs little, so that the rates are of the faces.
	small := &v1.CheckRequest{Build: demoCheck(b).Build, Packs: []*v1.PackPin{{Name: proto.String("interface")}}}
	for name, check := range map[string]*v1.CheckRequest{"one-pack": small, "every-pack": demoCheck(b)} {
		b.Run(name, func(b *testing.B) { faces(b, check) })
	}
}

func faces(b *testing.B, check *v1.CheckRequest) {
	s := start(b, server.Config{Packs: everyPack()})
	encoded, err := proto.Marshal(check)
	if err != nil {
		b.Fatal(err)
	}
	text := jsonOf(b, check)
	url := face(b, s, gateway.Config{})
	plain := plainTranscoder(b, s)
	web := &http.Client{Transport: &http.Transport{DisableCompression: true, MaxIdleConnsPerHost: 64}}
	ask := func(url, media, tag string, body []byte) (*http.Response, error) {
		r, err := http.NewRequest(http.MethodPost, url, bytes.NewReader(body))
		if err != nil {
			return nil, err
		}
		r.Header.Set("Content-Type", media)
		if tag != "" {
			r.Header.Set("If-None-Match", tag)
		}
		response, err := web.Do(r)
		if err != nil {
			return nil, err
		}
		defer func() { _ = response.Body.Close() }()
		_, err = io.Copy(io.Discard, response.Body)
		return response, err
	}
	first, err := ask(url+"/v1/check", "application/json", "", text)
	if err != nil || first.StatusCode != http.StatusOK {
		b.Fatalf("%v %v", first, err)
	}
	b.Logf("the check has %d bytes, %d as JSON; the answer has %d as JSON", len(encoded), len(text), first.ContentLength)
	conn := bytesConn(b, s)
	wants := func(status int, url, media, tag string, body []byte) func() error {
		return func() error {
			r, err := ask(url, media, tag, body)
			if err == nil && r.StatusCode != status {
				err = fmt.Errorf("answered by %s", r.Status)
			}
			return err
		}
	}
	const callers = 16
	b.Run("gRPC", func(b *testing.B) {
		share(b, callers, func() error {
			var answer []byte
			return conn.Invoke(context.Background(), v1.CheckService_Check_FullMethodName, &encoded, &answer)
		})
	})
	for _, c := range []struct {
		name string
		ask  func() error
	}{
		{"JSON", wants(200, url+"/v1/check", "application/json", "", text)},
		{"JSON-transcoded", wants(200, plain+"/v1/check", "application/json", "", text)},
		{"Connect", wants(200, url+v1.CheckService_Check_FullMethodName, "application/proto", "", encoded)},
		{"unchanged", wants(304, url+"/v1/check", "application/json", first.Header.Get("ETag"), text)},
	} {
		b.Run(c.name, func(b *testing.B) { share(b, callers, c.ask) })
	}
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

func bytesConn(b *testing.B, s *server.Server) *grpc.ClientConn {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	go func() { _ = s.Serve(l) }()
	conn, err := grpc.NewClient(l.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.ForceCodecV2(bytesCodec{}), grpc.MaxCallRecvMsgSize(16<<20)))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = conn.Close() })
	return conn
}

// plainTranscoder serves the routes by the transcoder alone.
func plainTranscoder(b *testing.B, s *server.Server) (url string) {
	transcoder, err := vanguardgrpc.NewTranscoder(s.Transcoded(), vanguard.WithDefaultServiceOptions(
		vanguard.WithTargetProtocols(vanguard.ProtocolGRPC), vanguard.WithTargetCodecs(vanguard.CodecProto)))
	if err != nil {
		b.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	web := &http.Server{Handler: transcoder}
	go func() { _ = web.Serve(l) }()
	b.Cleanup(func() { _ = web.Close() })
	return "http://" + l.Addr().String()
}
