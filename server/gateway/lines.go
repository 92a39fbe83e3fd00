package gateway

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"sync"

	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/jsonwire"
)

// lineRoutes are the streaming methods that are served as lines of JSON, one message
// a line each way. google.api.http has no words for them.
var lineRoutes = map[string]string{
	"/v1/check-many":     v1.CheckService_CheckMany_FullMethodName,
	"/v1/shortlist-many": v1.ShortlistService_ShortlistMany_FullMethodName,
	"/v1/matrix":         v1.ShortlistService_Matrix_FullMethodName,
}

func (g *Gateway) addLines(mux *http.ServeMux) error {
	for path, name := range lineRoutes {
		d, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(dotted(name)))
		if err != nil {
			return fmt.Errorf("%s is not in the contract: %w", name, err)
		}
		m, err := newMethod(d.(protoreflect.MethodDescriptor))
		if err != nil {
			return err
		}
		g.streams[path] = true
		mux.HandleFunc("POST "+path, func(w http.ResponseWriter, r *http.Request) { g.lines(w, r, m) })
		mux.HandleFunc(path, func(w http.ResponseWriter, r *http.Request) { wrongVerb(w, r, []string{http.MethodPost}) })
	}
	return nil
}

// dotted turns "/package.Service/Method" into "package.Service.Method".
func dotted(name string) string {
	service, method, _ := bytes.Cut([]byte(name[1:]), []byte("/"))
	return string(service) + "." + string(method)
}

// lines answers a stream of lines.
func (g *Gateway) lines(w http.ResponseWriter, r *http.Request, m *method) {
	media, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if media != mediaLines && media != mediaJSON && media != "application/jsonl" {
		problem{
			Status: http.StatusUnsupportedMediaType, Title: "The body is no lines of JSON", Code: "INVALID_ARGUMENT",
			Detail: fmt.Sprintf("The body is declared as %.80q; send one JSON text a line and say so: Content-Type: %s.", r.Header.Get("Content-Type"), mediaLines),
		}.write(w)
		return
	}
	// What comes out of a packed body is taken a line at a time.
	const endless = 1 << 40
	body, done, err := unpacker(r.Body, r.Header.Get("Content-Encoding"), endless)
	if err != nil {
		refused([]document.Violation{{Reason: "the body cannot be read: " + err.Error()}}).write(w)
		return
	}
	defer done()
	control := http.NewResponseController(w)
	_ = control.EnableFullDuplex() // HTTP/2 always is
	ctx, cancel := contextOf(r)
	defer cancel()
	s := &lineStream{ctx: ctx, in: bufio.NewReaderSize(body, 64<<10), out: w, control: control, method: m}
	s.end(g.service.Stream(m.name, s))
}

// lineStream shows lines as a stream of gRPC.
type lineStream struct {
	ctx     context.Context
	in      *bufio.Reader
	line    int
	method  *method
	control *http.ResponseController

	mu    sync.Mutex // held while a line is written
	out   http.ResponseWriter
	begun bool
	text  []byte
}

// SetHeader, SendHeader and SetTrailer are for metadata, of which lines have none.
func (s *lineStream) SetHeader(metadata.MD) error  { return nil }
func (s *lineStream) SendHeader(metadata.MD) error { return nil }
func (s *lineStream) SetTrailer(metadata.MD)       {}

// Context is the request's.
func (s *lineStream) Context() context.Context { return s.ctx }

// RecvMsg reads the next line into a *[]byte, encoded.
func (s *lineStream) RecvMsg(m any) error {
	for {
		text, err := s.next()
		if err != nil {
			return err
		}
		encoded, err := s.method.request.Encode(text)
		if err == nil {
			*m.(*[]byte) = encoded
			return nil
		}
		refusal := document.Refusal(jsonwire.Violations(err))
		if s.method.name != v1.CheckService_CheckMany_FullMethodName {
			return status.Errorf(3, "line %d is not good: %s", s.line, refusal.GetReason())
		}
		// As over gRPC, a bad question has a refusal of its own.
		if err := s.write(refusedLine(text, refusal)); err != nil {
			return err
		}
	}
}

// refusedLine is the answer to a line that is no question. Its tag comes back if there
// is one.
func refusedLine(text []byte, refusal *v1.Refusal) []byte {
	var question struct {
		Tag *string `json:"tag"`
	}
	response := &v1.CheckManyResponse{Result: &v1.CheckManyResponse_Refusal{Refusal: refusal}}
	const longest = 128 // by the contract, in characters
	if json.Unmarshal(text, &question) == nil && question.Tag != nil && len(*question.Tag) <= longest {
		response.Tag = question.Tag
	}
	line, err := jsonwire.AppendMessage(nil, response)
	if err != nil {
		return []byte(`{"refusal":{"code":3}}`)
	}
	return line
}

// next reads a line that is not blank, and io.EOF behind the last.
func (s *lineStream) next() ([]byte, error) {
	for {
		text, err := s.readLine()
		if err != nil && (err != io.EOF || len(text) == 0) {
			return nil, err
		}
		if text = bytes.TrimSpace(text); len(text) > 0 {
			return bytes.Clone(text), nil
		}
	}
}

func (s *lineStream) readLine() ([]byte, error) {
	s.line++
	var long []byte
	for {
		part, err := s.in.ReadSlice('\n')
		if err == nil && long == nil {
			return part, nil
		}
		if long = append(long, part...); len(long) > document.MaxText {
			return nil, status.Errorf(3, "line %d has more than %d bytes; split it, or send it by gRPC", s.line, document.MaxText)
		}
		if !errors.Is(err, bufio.ErrBufferFull) {
			return long, err
		}
	}
}

// SendMsg writes a *[]byte, encoded, as a line.
func (s *lineStream) SendMsg(m any) error {
	s.mu.Lock()
	text, err := s.method.answer.Append(s.text[:0], *m.(*[]byte))
	s.text = text
	if err == nil {
		err = s.put(text)
	}
	s.mu.Unlock()
	return err
}

func (s *lineStream) write(text []byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.put(text)
}

// put writes a line while mu is held.
func (s *lineStream) put(text []byte) error {
	if !s.begun {
		s.begun = true
		h := s.out.Header()
		h.Set("Content-Type", mediaLines)
		h.Set("Cache-Control", "no-store")
	}
	if _, err := s.out.Write(append(text, '\n')); err != nil {
		return err
	}
	return s.control.Flush()
}

// end tells how the stream ended: as a problem where nothing has been answered, else
// as a last line with the problem under "error".
func (s *lineStream) end(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err == nil {
		if !s.begun {
			s.out.Header().Set("Content-Type", mediaLines)
			s.out.WriteHeader(http.StatusOK)
		}
		return
	}
	p := problemOf(err)
	if !s.begun {
		p.write(s.out)
		return
	}
	_ = s.put(append(append([]byte(`{"error":`), bytes.TrimSpace(p.json())...), '}'))
}
