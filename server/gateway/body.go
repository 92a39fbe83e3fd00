package gateway

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"

	"connectrpc.com/connect"
	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"

	"slipfit.example/server/document"
)

// readJSON reads the body of a request, unpacked, of at most document.MaxText bytes.
func readJSON(w http.ResponseWriter, r *http.Request) ([]byte, *problem) {
	media, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if media != mediaJSON && !strings.HasSuffix(media, "+json") {
		return nil, &problem{
			Status: http.StatusUnsupportedMediaType, Title: "The body is not JSON", Code: "INVALID_ARGUMENT",
			Detail: fmt.Sprintf("The body is declared as %.80q; send JSON and say so: Content-Type: application/json. With curl, --json does both.", r.Header.Get("Content-Type")),
		}
	}
	text, err := unpack(r.Body, r.ContentLength, r.Header.Get("Content-Encoding"), document.MaxText)
	if err == nil {
		return text, nil
	}
	var large *tooLarge
	var coding *unknownCoding
	p := &problem{Status: http.StatusBadRequest, Title: "The body cannot be read", Code: "INVALID_ARGUMENT", Detail: "The body cannot be read: " + err.Error() + "."}
	switch {
	case errors.As(err, &large):
		p.Status, p.Title, p.Code = http.StatusRequestEntityTooLarge, "The body is too large", "RESOURCE_EXHAUSTED"
		w.Header().Set("Connection", "close") // the rest is not read
	case errors.As(err, &coding):
		p.Status, p.Title = http.StatusUnsupportedMediaType, "The body's coding is not known"
		w.Header().Set("Accept-Encoding", "gzip, zstd") // RFC 9110, section 12.5.3
	}
	return nil, p
}

// tooLarge is the error of a body that is longer than it may be.
type tooLarge struct{ most int64 }

func (e *tooLarge) Error() string {
	return fmt.Sprintf("it has more than %d bytes once it is unpacked; split it, or send it by gRPC", e.most)
}

// unknownCoding is the error of a body in a coding that nobody here unpacks.
type unknownCoding struct{ coding string }

func (e *unknownCoding) Error() string {
	return fmt.Sprintf("it is coded as %.40q; send it plain, or by gzip or zstd", e.coding)
}

// unpack reads a body to its end, and fails as soon as more than most bytes come out
// of it, whatever went in. Size is the packed size where it is known; it is believed up to what
// a usual document has.
func unpack(body io.Reader, size int64, coding string, most int64) ([]byte, error) {
	plain, done, err := unpacker(body, coding, most)
	if err != nil {
		return nil, err
	}
	defer done()
	const believed = 64 << 10
	text := bytes.NewBuffer(make([]byte, 0, max(0, min(size, believed))+bytes.MinRead))
	n, err := text.ReadFrom(io.LimitReader(plain, most+1))
	switch {
	case err != nil:
		return nil, err
	case n > most:
		return nil, &tooLarge{most}
	}
	return text.Bytes(), nil
}

// unpacker reads a body that comes in a coding. The done function is to be called
// after reading.
func unpacker(body io.Reader, coding string, most int64) (io.Reader, func(), error) {
	switch strings.ToLower(strings.TrimSpace(coding)) {
	case "", "identity":
		return body, func() {}, nil
	case "gzip", "x-gzip":
		z, err := gzip.NewReader(body)
		if err != nil {
			return nil, nil, fmt.Errorf("it is said to be gzip and is not: %w", err)
		}
		return z, func() { _ = z.Close() }, nil
	case "zstd":
		// One goroutine, and a window no larger than what may come out.
		z, err := zstd.NewReader(body, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(uint64(most)), zstd.WithDecoderMaxWindow(8<<20))
		if err != nil {
			return nil, nil, fmt.Errorf("it is said to be zstd and is not: %w", err)
		}
		return zstdBody{z, most}, z.Close, nil
	default:
		return nil, nil, &unknownCoding{coding}
	}
}

// zstdBody tells a frame that would unpack to too much as such: the decoder refuses
// it by its header.
type zstdBody struct {
	from io.Reader
	most int64
}

func (z zstdBody) Read(b []byte) (int, error) {
	n, err := z.from.Read(b)
	if errors.Is(err, zstd.ErrDecoderSizeExceeded) || errors.Is(err, zstd.ErrWindowSizeExceeded) {
		err = &tooLarge{z.most}
	}
	return n, err
}

// messageUnpacker unpacks one message at a time for the transcoder, which itself sets
// no limit to what comes out.
type messageUnpacker struct {
	gzip *gzip.Reader
	left int64
}

func newUnpacker() connect.Decompressor { return &messageUnpacker{gzip: new(gzip.Reader)} }

func newPacker() connect.Compressor { return gzip.NewWriter(io.Discard) }

// Read unpacks, and fails past the greatest message.
func (u *messageUnpacker) Read(b []byte) (int, error) {
	n, err := u.gzip.Read(b[:min(int64(len(b)), u.left+1)])
	if u.left -= int64(n); u.left < 0 {
		return 0, connect.NewError(connect.CodeResourceExhausted, &tooLarge{document.MaxText})
	}
	return n, err
}

// Reset begins another message.
func (u *messageUnpacker) Reset(from io.Reader) error {
	u.left = document.MaxText
	return u.gzip.Reset(from)
}

// Close ends it.
func (u *messageUnpacker) Close() error { return u.gzip.Close() }
