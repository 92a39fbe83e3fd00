package gateway_test

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/gateway"
)

// payloads are texts that would do harm somewhere.
var payloads = []string{
	"<script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, "<svg onload=alert(1)>", "</style><!--", "a\u202egnp.exe\u2066", "\u2028\u2029\u0085\x7f",
	"x\r\nSet-Cookie: a=b", strings.Repeat("<", 10_000),
}

// Every text field of a check, one after the other, comes back as text if it comes back,
// and never in a header.
func TestTextStaysText(t *testing.T) {
	t.Parallel()
	h := direct(t, common.service(t), gateway.Config{})
	check := demoCheck(t)
	check.Policy = []*v1.PolicyValue{{Parameter: proto.String(parameter), Value: proto.Float64(3)}}
	check.Packs = []*v1.PackPin{{Name: proto.String("interface")}}
	check.Wants = []string{"interface.links"}
	fields := map[string]bool{}
	answered := 0
	for i, text := range everyText(check.ProtoReflect(), "", nil) {
		if fields[text.field] {
			continue // the same field of another part
		}
		fields[text.field] = true
		changed := proto.CloneOf(check)
		set := everyText(changed.ProtoReflect(), "", nil)[i]
		payload := payloads[i%len(payloads)]
		set.to(payload)
		got := post(t, h, "/v1/check", jsonOf(t, changed))
		if at := bytes.IndexAny(got.body, "<>&\u202e\u2066\u2028\u2029\u0085\x7f"); at >= 0 {
			t.Errorf("%s: %q comes back bare: %.100q", set.field, payload, got.body[at:])
		}
		for name, values := range got.header {
			if strings.ContainsAny(strings.Join(values, ""), "<\u202e\r\n") {
				t.Errorf("%s: %q stands in the header %s", set.field, payload, name)
			}
		}
		switch got.status {
		case http.StatusOK:
			answered++
			if err := protojson.Unmarshal(got.body, new(v1.CheckResponse)); err != nil {
				t.Errorf("%s: the answer is not JSON: %v", set.field, err)
			}
		case http.StatusBadRequest:
			problemIn(t, got)
		default:
			t.Errorf("%s: %q is answered by %d", set.field, payload, got.status)
		}
	}
	if len(fields) < 50 || answered < 10 {
		t.Errorf("only %d fields were tried, and %d answered", len(fields), answered)
	}
}

// textField sets one text of a message.
type textField struct {
	field string
	to    func(string)
}

// everyText are the texts that a message holds, in a steady order. Names and titles that
// are not there are put in first, so that they are tried too.
func everyText(m protoreflect.Message, path string, out []textField) []textField {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		f := fields.Get(i)
		at := path + "/" + string(f.Name())
		switch {
		case f.IsList() && f.Kind() == protoreflect.StringKind:
			for n := range m.Get(f).List().Len() {
				out = append(out, textField{at, func(s string) { m.Mutable(f).List().Set(n, protoreflect.ValueOfString(s)) }})
			}
		case f.IsList() && f.Message() != nil:
			for n := range m.Get(f).List().Len() {
				out = everyText(m.Mutable(f).List().Get(n).Message(), at, out)
			}
		case f.IsList():
		case f.Kind() == protoreflect.StringKind:
			out = append(out, textField{at, func(s string) { m.Set(f, protoreflect.ValueOfString(s)) }})
		case f.Message() != nil && m.Has(f):
			out = everyText(m.Mutable(f).Message(), at, out)
		}
	}
	return out
}

// A small body that unpacks to a large one is refused, by routes and by Connect.
func TestBombs(t *testing.T) {
	t.Parallel()
	s := common.service(t)
	h := direct(t, s, gateway.Config{})
	huge := bytes.Repeat([]byte(" "), 64<<20)
	for coding, bomb := range map[string][]byte{"gzip": gzipped(huge), "zstd": zstded(huge)} {
		if len(bomb) > 128<<10 {
			t.Fatalf("the bomb has %d bytes", len(bomb))
		}
		got := post(t, h, "/v1/check", bomb, "Content-Encoding", coding)
		if p := problemIn(t, got); p.Status != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %+v", coding, p)
		}
		if coding == "zstd" {
			continue // which the transcoder does not unpack
		}
		if got := post(t, h, "/slipfit.v1.CheckService/Check", bomb, "Content-Encoding", coding); got.status != http.StatusTooManyRequests {
			t.Errorf("Connect answers a bomb by %d: %.200s", got.status, got.body)
		}
	}
	if got := post(t, h, "/v1/check", []byte("no gzip"), "Content-Encoding", "gzip"); got.status != http.StatusBadRequest {
		t.Errorf("what is no gzip is answered by %d", got.status)
	}
	if got := post(t, h, "/v1/check", nil, "Content-Encoding", "br"); got.status != http.StatusUnsupportedMediaType || got.header.Get("Accept-Encoding") == "" {
		t.Errorf("an unknown coding is answered by %d %v", got.status, got.header)
	}
}

// stub is a service that answers as a test wants.
type stub struct {
	gateway.Service
	call   func(ctx context.Context) ([]byte, error)
	stream func(grpc.ServerStream) error
}

func (s stub) Call(ctx context.Context, _ string, _ []byte) ([]byte, error) { return s.call(ctx) }
func (s stub) Stream(_ string, stream grpc.ServerStream) error              { return s.stream(stream) }
func (s stub) Digest(context.Context, []byte) (string, error)               { return "", errors.New("none") }

// A client that reads nothing more does not hold its handler.
func TestClientThatStopsReading(t *testing.T) {
	ended := make(chan error, 1)
	line, err := proto.Marshal(&v1.CheckManyResponse{Tag: proto.String(strings.Repeat("t", 64<<10))})
	if err != nil {
		t.Fatal(err)
	}
	s := stub{Service: common.service(t), stream: func(stream grpc.ServerStream) error {
		for {
			if err := stream.SendMsg(&line); err != nil {
				ended <- err
				return err
			}
		}
	}}
	url := face(t, s, gateway.Config{Stall: 200 * time.Millisecond})
	conn := dialTCP(t, url)
	fmt.Fprintf(conn, "POST /v1/check-many HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\nContent-Length: 0\r\n\r\n")
	select {
	case err := <-ended:
		if !errors.Is(err, context.Canceled) && !isTimeout(err) {
			t.Errorf("the handler ended with %v", err)
		}
	case <-time.After(patience):
		t.Fatal("a client that does not read holds its handler")
	}
}

func isTimeout(err error) bool {
	var timeout net.Error
	return errors.As(err, &timeout) && timeout.Timeout()
}

func dialTCP(t *testing.T, url string) net.Conn {
	t.Helper()
	conn, err := net.Dial("tcp", strings.TrimPrefix(url, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	_ = conn.SetDeadline(time.Now().Add(patience))
	return conn
}

// A client that sends its headers or its body too slowly is cut off.
func TestClientThatSendsSlowly(t *testing.T) {
	url := face(t, common.service(t), gateway.Config{Stall: 100 * time.Millisecond, Head: 100 * time.Millisecond})
	for name, begin := range map[string]string{
		"body":   "POST /v1/check HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{",
		"header": "POST /v1/check HTTP/1.1\r\nHost: x\r\n",
	} {
		conn := dialTCP(t, url)
		_, _ = io.WriteString(conn, begin)
		rest, err := io.ReadAll(conn)
		if err != nil && isTimeout(err) {
			t.Errorf("%s: the connection is held: %v", name, err)
		}
		if name == "body" && !bytes.Contains(rest, []byte(" 400 ")) {
			t.Errorf("%s: the client is told %q", name, rest)
		}
	}
	// One byte after the other, each in time, is too slow in the end.
	conn := dialTCP(t, url)
	_, _ = io.WriteString(conn, "POST /v1/check HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 100000\r\n\r\n")
	for {
		if _, err := conn.Write([]byte(" ")); err != nil {
			break // the server has gone
		}
		time.Sleep(20 * time.Millisecond)
	}
	if _, err := bufio.NewReader(conn).ReadByte(); isTimeout(err) {
		t.Error("a client that sends a byte at a time holds the connection")
	}
}

// A deadline that the client asks for reaches the handler.
func TestDeadlines(t *testing.T) {
	var limit atomic.Int64
	s := stub{Service: common.service(t), call: func(ctx context.Context) ([]byte, error) {
		limit.Store(0)
		if deadline, ok := ctx.Deadline(); ok {
			limit.Store(int64(time.Until(deadline).Round(time.Second)))
		}
		return nil, nil
	}}
	h := direct(t, s, gateway.Config{})
	for header, want := range map[string]time.Duration{
		"Prefer: wait=7": 7 * time.Second, "Prefer: respond-async, wait=9": 9 * time.Second, "Prefer: wait=-1": 0, "Prefer: wait=x": 0,
		"Prefer: wait=99999999999999999999": 0, "Connect-Timeout-Ms: 4000": 4 * time.Second,
	} {
		name, value, _ := strings.Cut(header, ": ")
		post(t, h, "/v1/check", []byte(`{"build":{}}`), name, value)
		if got := time.Duration(limit.Load()); got != want {
			t.Errorf("%s gives %v, want %v", header, got, want)
		}
	}
}

// A request that is on its way is answered while the service stops, and the packs wait
// for it.
func TestStopWaitsForHTTP(t *testing.T) {
	s := start(t, server.Config{Packs: onePack()})
	entered, leave := make(chan struct{}), make(chan struct{})
	held := heldService{s, entered, leave}
	g, err := gateway.New(held, gateway.Config{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	web := g.NewServer(quiet)
	s.EndWith(web.Stop)
	served := make(chan error, 1)
	go func() { served <- web.Serve(l) }()
	answers := make(chan asked, 1)
	go func() {
		r, err := http.Post("http://"+l.Addr().String()+"/v1/check", "application/json", bytes.NewReader(jsonOf(t, demoCheck(t))))
		if err != nil {
			answers <- asked{body: []byte(err.Error())}
			return
		}
		defer func() { _ = r.Body.Close() }()
		body, _ := io.ReadAll(r.Body)
		answers <- asked{r.StatusCode, r.Header, body}
	}()
	<-entered
	stopped := make(chan struct{})
	go func() {
		stop(t, s)
		close(stopped)
	}()
	if err := <-served; err != nil { // no more connections are taken
		t.Error(err)
	}
	select {
	case <-stopped:
		t.Fatal("the service has stopped before its request was answered")
	default:
	}
	close(leave)
	if got := <-answers; got.status != http.StatusOK || protojson.Unmarshal(got.body, new(v1.CheckResponse)) != nil {
		t.Errorf("the request is answered by %d %.200s", got.status, got.body)
	}
	<-stopped
}

// heldService holds calls until they may go on.
type heldService struct {
	*server.Server
	entered, leave chan struct{}
}

func (s heldService) Call(ctx context.Context, method string, request []byte) ([]byte, error) {
	close(s.entered)
	<-s.leave
	return s.Server.Call(ctx, method, request)
}
