package server_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/document"
)

// wire is one HTTP/2 connection (RFC 9113) on which a test writes what it likes.
type wire struct {
	t      testing.TB
	conn   net.Conn
	framer *http2.Framer
	packed bytes.Buffer
	packer *hpack.Encoder
	write  sync.Mutex
}

// openWire connects without waiting for the server's preface.
func openWire(t testing.TB, address string) *wire {
	t.Helper()
	conn, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	if err := conn.SetDeadline(time.Now().Add(patience)); err != nil {
		t.Fatal(err)
	}
	w := &wire{t: t, conn: conn, framer: http2.NewFramer(conn, conn)}
	w.packer = hpack.NewEncoder(&w.packed)
	w.framer.ReadMetaHeaders = hpack.NewDecoder(4096, nil)
	if _, err := io.WriteString(conn, http2.ClientPreface); err != nil {
		t.Fatal(err)
	}
	if err := w.framer.WriteSettings(); err != nil {
		t.Fatal(err)
	}
	return w
}

// greeted is openWire and the server's settings.
func greeted(t testing.TB, address string) *wire {
	t.Helper()
	w := openWire(t, address)
	for {
		frame, err := w.framer.ReadFrame()
		if err != nil {
			t.Fatalf("no settings came: %v", err)
		}
		if settings, ok := frame.(*http2.SettingsFrame); ok && !settings.IsAck() {
			if err := w.framer.WriteSettingsAck(); err != nil {
				t.Fatal(err)
			}
			return w
		}
	}
}

// header packs the header of a gRPC request to a path.
func (w *wire) header(path string, extra ...hpack.HeaderField) []byte {
	w.packed.Reset()
	for _, f := range append([]hpack.HeaderField{
		{Name: ":method", Value: "POST"}, {Name: ":scheme", Value: "http"}, {Name: ":path", Value: path},
		{Name: ":authority", Value: "slipfit.example"}, {Name: "content-type", Value: "application/grpc"}, {Name: "te", Value: "trailers"},
	}, extra...) {
		if err := w.packer.WriteField(f); err != nil {
			w.t.Fatal(err)
		}
	}
	return bytes.Clone(w.packed.Bytes())
}

// begin opens a stream; it returns false once the server has closed.
func (w *wire) begin(stream uint32, header []byte) bool {
	w.write.Lock()
	defer w.write.Unlock()
	return w.framer.WriteHeaders(http2.HeadersFrameParam{StreamID: stream, BlockFragment: header, EndHeaders: true}) == nil
}

func (w *wire) data(stream uint32, end bool, data []byte) bool {
	w.write.Lock()
	defer w.write.Unlock()
	return w.framer.WriteData(stream, end, data) == nil
}

// prefixed is a gRPC message with its length before it.
func prefixed(compressed byte, message []byte) []byte {
	b := append([]byte{compressed}, 0, 0, 0, 0)
	binary.BigEndian.PutUint32(b[1:], uint32(len(message)))
	return append(b, message...)
}

// ending is how a stream ended, or the connection with it.
type ending struct {
	status  string // grpc-status
	message string
	reset   http2.ErrCode
	isReset bool
	goAway  *http2.GoAwayFrame
	err     error // the connection ended
}

func (e ending) String() string {
	return fmt.Sprintf("status %q, message %q, reset %v (%v), GOAWAY %v, connection %v", e.status, e.message, e.isReset, e.reset, e.goAway, e.err)
}

// ended reads on until a stream, or the connection, has ended.
func (w *wire) ended(stream uint32) ending {
	w.t.Helper()
	var out ending
	for {
		frame, err := w.framer.ReadFrame()
		if err != nil {
			var late net.Error
			if errors.As(err, &late) && late.Timeout() {
				w.t.Fatalf("stream %d did not end within %v", stream, patience)
			}
			out.err = err
			return out
		}
		switch f := frame.(type) {
		case *http2.MetaHeadersFrame:
			if f.StreamID != stream {
				continue
			}
			for _, field := range f.Fields {
				switch field.Name {
				case "grpc-status":
					out.status = field.Value
				case "grpc-message":
					out.message = field.Value
				}
			}
			if f.StreamEnded() {
				return out
			}
		case *http2.RSTStreamFrame:
			if f.StreamID == stream {
				out.reset, out.isReset = f.ErrCode, true
				return out
			}
		case *http2.GoAwayFrame:
			kept := *f
			out.goAway = &kept
			out.message = string(f.DebugData())
		case *http2.PingFrame:
			if !f.IsAck() {
				w.write.Lock()
				_ = w.framer.WritePing(true, f.Data)
				w.write.Unlock()
			}
		}
	}
}

// drain reads and forgets until the connection ends, so that neither side waits
// for the other to read.
func (w *wire) drain() <-chan struct{} {
	done := make(chan struct{})
	go func() {
		defer close(done)
		_, _ = io.Copy(io.Discard, w.conn)
	}()
	return done
}

// wireService serves the drill and gives its address and a client of good manners.
func wireService(t *testing.T, config server.Config) (*server.Server, string, v1.CheckServiceClient) {
	t.Helper()
	s := start(t, config)
	conn, address := dial(t, s)
	return s, address, v1.NewCheckServiceClient(conn)
}

// answers fails unless a check of good manners is answered.
func answers(t *testing.T, client v1.CheckServiceClient) {
	t.Helper()
	if _, err := client.Check(soon(t), plainCheck("good-manners")); err != nil {
		t.Fatalf("a client of good manners is not served: %v", err)
	}
}

const ok = "0"

// CVE-2023-44487: requests that are reset as soon as they are sent.
func TestWireRapidReset(t *testing.T) {
	noLeaks(t)
	const resets = 5000
	config := drillConfig()
	s, address, client := wireService(t, config)
	w := greeted(t, address)
	drained := w.drain()
	header := w.header(v1.CheckService_Check_FullMethodName)
	message := prefixed(0, encode(t, plainCheck("reset")))
	var most atomic.Int64
	watching, stop := context.WithCancel(context.Background())
	var watcher sync.WaitGroup
	watcher.Go(func() {
		for watching.Err() == nil {
			most.Store(max(most.Load(), int64(now(t, s, "slipfit_checks_in_flight"))))
		}
	})
	sent := 0
	for i := range uint32(resets) {
		stream := 2*i + 1
		if !w.begin(stream, header) || !w.data(stream, true, message) || w.framer.WriteRSTStream(stream, http2.ErrCodeCancel) != nil {
			break // turned away, which is as good
		}
		sent++
		if i%500 == 0 {
			answers(t, client)
		}
	}
	answers(t, client)
	eventually(t, "nothing of it is on its way any more", func() bool { return now(t, s, "slipfit_checks_in_flight") == 0 })
	stop()
	watcher.Wait()
	_ = w.conn.Close()
	<-drained
	// One of good manners is on its way beside the connection's own.
	if most.Load() > 128+1 {
		t.Errorf("%d checks were on their way at once from one connection that may have 128", most.Load())
	}
	t.Logf("%d resets, at most %d checks at once", sent, most.Load())
}

// CVE-2023-45288: a header that goes on for ever in CONTINUATION frames.
func TestWireContinuationFlood(t *testing.T) {
	noLeaks(t)
	_, address, client := wireService(t, drillConfig())
	w := greeted(t, address)
	drained := w.drain()
	begin := w.header(v1.CheckService_Check_FullMethodName)
	if err := w.framer.WriteHeaders(http2.HeadersFrameParam{StreamID: 1, BlockFragment: begin}); err != nil {
		t.Fatal(err)
	}
	before := allocated()
	const frames = 4000
	fragment := w.header("/x", hpack.HeaderField{Name: "x-filler", Value: string(bytes.Repeat([]byte("f"), 15<<10)), Sensitive: true})
	sent := 0
	for range frames {
		if w.framer.WriteContinuation(1, false, fragment) != nil {
			break
		}
		sent++
	}
	<-drained
	if grown := allocated() - before; grown > 32<<20 {
		t.Errorf("%d bytes were allocated for a header without end", grown)
	}
	if sent == frames {
		t.Errorf("all %d frames of a header without end were taken", frames)
	}
	answers(t, client)
}

// allocated is how much has ever been allocated.
func allocated() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}

func TestWireHeaderListBeyondTheLimit(t *testing.T) {
	noLeaks(t)
	_, address, client := wireService(t, drillConfig())
	w := greeted(t, address)
	// 17 fields of 1 KiB and their overhead of 32 bytes each are more than 16 KiB.
	var fields []hpack.HeaderField
	for i := range 17 {
		fields = append(fields, hpack.HeaderField{Name: fmt.Sprintf("x-%d", i), Value: string(bytes.Repeat([]byte("v"), 1<<10))})
	}
	header := w.header(v1.CheckService_Check_FullMethodName, fields...)
	const frame = 8 << 10
	if err := w.framer.WriteHeaders(http2.HeadersFrameParam{StreamID: 1, BlockFragment: header[:frame]}); err != nil {
		t.Fatal(err)
	}
	if err := w.framer.WriteContinuation(1, true, header[frame:]); err != nil {
		t.Fatal(err)
	}
	w.data(1, true, prefixed(0, encode(t, plainCheck("long-header"))))
	if e := w.ended(1); e.status == ok || (!e.isReset && e.status == "" && e.err == nil) {
		t.Errorf("a header list of 17 KiB ended with %v", e)
	}
	answers(t, client)
}

// RFC 9113, 4.1: frames of unknown types are ignored.
func TestWireUnknownFrameTypes(t *testing.T) {
	noLeaks(t)
	_, address, client := wireService(t, drillConfig())
	w := greeted(t, address)
	for kind := http2.FrameType(0x0a); kind <= 0x0f; kind++ {
		if err := w.framer.WriteRawFrame(kind, 0xff, 0, []byte("what is this")); err != nil {
			t.Fatal(err)
		}
	}
	w.begin(1, w.header(v1.CheckService_Check_FullMethodName))
	w.data(1, true, prefixed(0, encode(t, plainCheck("after"))))
	if e := w.ended(1); e.status != ok {
		t.Errorf("a check after frames of unknown types ended with %v", e)
	}
	answers(t, client)
}

// GO-2026-4762: a path without its slash must reach no method.
func TestWirePaths(t *testing.T) {
	noLeaks(t)
	_, address, client := wireService(t, drillConfig())
	w := greeted(t, address)
	for i, path := range []string{
		v1.CheckService_Check_FullMethodName[1:], "/" + v1.CheckService_Check_FullMethodName, "/slipfit.v1.CheckService/",
		"/slipfit.v1.CheckService", "/slipfit.v1.CheckService/check", "/", "*", "/slipfit.v1.CheckService/Check/",
	} {
		stream := uint32(2*i + 1)
		w.begin(stream, w.header(path))
		w.data(stream, true, prefixed(0, encode(t, plainCheck("astray"))))
		if e := w.ended(stream); e.status != fmt.Sprint(uint32(codes.Unimplemented)) {
			t.Errorf("path %q ended with %v", path, e)
		}
	}
	answers(t, client)
}

// CVE-2026-84304: messages in DATA frames of one byte each.
func TestWireOneByteFrames(t *testing.T) {
	noLeaks(t)
	const streams = 16
	_, address, client := wireService(t, drillConfig())
	w := greeted(t, address)
	header := w.header(v1.CheckService_Check_FullMethodName)
	check := plainCheck("crumbs")
	check.Build.Title = proto.String(string(bytes.Repeat([]byte("t"), 200)))
	for i := range 60 {
		item := proto.CloneOf(check.Build.Items[0])
		item.Id = proto.String(fmt.Sprintf("fan-%d", i))
		check.Build.Items = append(check.Build.Items, item)
	}
	message := prefixed(0, encode(t, check))
	// Everything but the last byte stays within the windows that each side starts with.
	if len(message)*streams > 65_535 {
		t.Fatalf("%d bytes do not fit the connection's first window", len(message)*streams)
	}
	before := heap()
	for i := range uint32(streams) {
		w.begin(2*i+1, header)
		for j := range message[:len(message)-1] {
			if !w.data(2*i+1, false, message[j:j+1]) {
				t.Fatal("the connection ended over frames of one byte")
			}
		}
	}
	answers(t, client)
	if grown := int64(heap()) - int64(before); grown > 32<<20 {
		t.Errorf("%d bytes in frames of one byte hold %d bytes of the heap", len(message)*streams, grown)
	}
	for i := range uint32(streams) {
		w.data(2*i+1, true, message[len(message)-1:])
		if e := w.ended(2*i + 1); e.status != ok {
			t.Fatalf("a check in frames of one byte ended with %v", e)
		}
	}
}

// A small message that unpacks to a great one is not unpacked: the service takes
// no compressed messages.
func TestWireCompressionBomb(t *testing.T) {
	noLeaks(t)
	_, address, client := wireService(t, drillConfig())
	var bomb bytes.Buffer
	z := gzip.NewWriter(&bomb)
	if _, err := io.CopyN(z, zeros{}, 32<<20); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	w := greeted(t, address)
	before := allocated()
	// The bomb is longer than a window, so that it goes in pieces if at all.
	piece := prefixed(1, bomb.Bytes())
	w.begin(1, w.header(v1.CheckService_Check_FullMethodName, hpack.HeaderField{Name: "grpc-encoding", Value: "gzip"}))
	for part := piece; len(part) > 0; {
		n := min(len(part), 8<<10)
		w.data(1, n == len(part), part[:n])
		part = part[n:]
	}
	e := w.ended(1)
	if e.status != fmt.Sprint(uint32(codes.Unimplemented)) {
		t.Errorf("a compressed message ended with %v", e)
	}
	if grown := allocated() - before; grown > 16<<20 {
		t.Errorf("a bomb of %d bytes made the service allocate %d", bomb.Len(), grown)
	}
	answers(t, client)
}

type zeros struct{}

func (zeros) Read(b []byte) (int, error) {
	clear(b)
	return len(b), nil
}

// Beyond the streams that one connection may have, requests are refused unread.
func TestWireStreamsBeyondTheLimit(t *testing.T) {
	noLeaks(t)
	config := drillConfig()
	config.StreamsPerConnection = 8
	s, address, _ := wireService(t, config)
	latch := newLatch(t)
	w := greeted(t, address)
	header, message := w.header(v1.CheckService_Check_FullMethodName), prefixed(0, encode(t, latch.held("held")))
	const asked = 100
	for i := range uint32(asked) {
		if !w.begin(2*i+1, header) || !w.data(2*i+1, true, message) {
			t.Fatal("the connection ended over streams beyond the limit")
		}
	}
	refused := 0
	for i := config.StreamsPerConnection; i < asked; i++ {
		if e := w.ended(2*i + 1); e.isReset && e.reset == http2.ErrCodeRefusedStream {
			refused++
		}
	}
	if want := asked - int(config.StreamsPerConnection); refused != want {
		t.Errorf("%d of %d streams were refused, want %d", refused, asked, want)
	}
	if got := now(t, s, "slipfit_checks_in_flight"); got > float64(config.StreamsPerConnection) {
		t.Errorf("%v checks of one connection are on their way, more than %d", got, config.StreamsPerConnection)
	}
}

// A connection beyond the limit waits until another ends.
func TestWireConnectionsBeyondTheLimit(t *testing.T) {
	noLeaks(t)
	config := drillConfig()
	config.Connections = 2
	s := start(t, config)
	address := serve(t, s)
	first, second := greeted(t, address), greeted(t, address)
	third := openWire(t, address)
	if err := third.conn.SetReadDeadline(time.Now().Add(200 * time.Millisecond)); err != nil {
		t.Fatal(err)
	}
	if _, err := third.framer.ReadFrame(); !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Fatalf("a third connection got an answer though two are the limit: %v", err)
	}
	// The second is served meanwhile.
	second.begin(1, second.header(v1.CheckService_Check_FullMethodName))
	second.data(1, true, prefixed(0, encode(t, plainCheck("second"))))
	if e := second.ended(1); e.status != ok {
		t.Errorf("a connection within the limit ended with %v", e)
	}
	_ = first.conn.Close()
	if err := third.conn.SetReadDeadline(time.Now().Add(patience)); err != nil {
		t.Fatal(err)
	}
	if _, err := third.framer.ReadFrame(); err != nil {
		t.Errorf("the third connection is not served after the first has ended: %v", err)
	}
}

// Pings without a pause are an attack, as gRPC's keepalive says.
func TestWirePingsTooOften(t *testing.T) {
	noLeaks(t)
	_, address, client := wireService(t, drillConfig())
	w := greeted(t, address)
	for i := range 10 {
		if w.framer.WritePing(false, [8]byte{byte(i)}) != nil {
			break
		}
	}
	e := w.ended(1)
	if e.goAway == nil || e.goAway.ErrCode != http2.ErrCodeEnhanceYourCalm || e.message != "too_many_pings" {
		t.Errorf("ten pings at once ended with %v", e)
	}
	answers(t, client)
}

// A message can be encoded in two bytes and takes a hundred in memory.
func TestWireMessagesThatGrowInMemory(t *testing.T) {
	noLeaks(t)
	const bound = 32 << 20
	conn := listen(t, start(t, drillConfig()).Serve)
	empty := []byte{3<<3 | 2, 0} // an item of the build, of no length
	for name, check := range map[string][]byte{
		"empty items":   field(1, bytes.Repeat(empty, (document.MaxEncoded-16)/len(empty))),
		"fewer items":   field(1, bytes.Repeat(empty, document.MaxMessages-100)),
		"empty pins":    bytes.Repeat(field(3, nil), document.MaxEncoded/2),
		"deep and wide": bytes.Repeat(nested(document.MaxNesting), document.MaxEncoded/len(nested(document.MaxNesting))),
		"nested":        nested(document.MaxNesting + 1),
		"very deep":     nested(100_000),
	} {
		if len(check) > document.MaxEncoded {
			t.Fatalf("%s: %d bytes are refused for their length", name, len(check))
		}
		begin, before := time.Now(), allocated()
		var answer []byte
		err := conn.Invoke(soon(t), v1.CheckService_Check_FullMethodName, &check, &answer)
		wantCode(t, err, codes.InvalidArgument)
		t.Logf("%s: %d bytes allocated in %v", name, allocated()-before, time.Since(begin))
		if grown := allocated() - before; grown > bound {
			t.Errorf("%s: a message of %d bytes made the process allocate %d, more than %d", name, len(check), grown, bound)
		}
	}
}

// field is a length-delimited field.
func field(number byte, content []byte) []byte {
	return append(binary.AppendUvarint([]byte{number<<3 | 2}, uint64(len(content))), content...)
}
