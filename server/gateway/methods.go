package gateway

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"mime"
	"net/http"
	"net/url"
	"strings"

	"connectrpc.com/connect"
	"connectrpc.com/vanguard"
	"connectrpc.com/vanguard/vanguardgrpc"
	"google.golang.org/grpc"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/protoadapt"
	"google.golang.org/protobuf/reflect/protoreflect"

	"slipfit.example/server/document"
	"slipfit.example/server/jsonwire"
)

// addMethods adds the methods under their names: by Connect and gRPC-Web through the
// transcoder, and by Connect's GET where they change nothing, so that a shared cache
// can answer.
func (g *Gateway) addMethods(mux *http.ServeMux) error {
	transcoder, err := vanguardgrpc.NewTranscoder(g.service.Transcoded(),
		vanguard.WithCodec(func(vanguard.TypeResolver) vanguard.Codec { return strictJSON{} }),
		vanguard.WithCompression(vanguard.CompressionGzip, newPacker, newUnpacker),
		vanguard.WithDefaultServiceOptions(
			vanguard.WithTargetProtocols(vanguard.ProtocolGRPC), vanguard.WithTargetCodecs(vanguard.CodecProto),
			vanguard.WithNoTargetCompression(), vanguard.WithMaxMessageBufferBytes(2*document.MaxEncoded)))
	if err != nil {
		return fmt.Errorf("the contract cannot be transcoded: %w", err)
	}
	err = g.eachMethod(func(service protoreflect.ServiceDescriptor, d protoreflect.MethodDescriptor, info grpc.MethodInfo) error {
		path := fullName(d)
		mux.Handle(path, declared(transcoder))
		if info.IsClientStream || info.IsServerStream {
			g.streams[path] = true
			return nil
		}
		m, err := newMethod(d)
		if err != nil || !m.safe {
			return err
		}
		handler, err := compress(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { g.get(w, r, m) }))
		if err != nil {
			return err
		}
		mux.Handle("GET "+path, handler)
		return nil
	})
	mux.HandleFunc("/", noRoute)
	return err
}

// declared marks requests of Connect that do not say so, as they need not: the
// transcoder would look for a route of REST.
func declared(transcoder http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		media, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
		if (media == mediaJSON || media == mediaBinary) && r.Header.Get("Connect-Protocol-Version") == "" {
			r.Header.Set("Connect-Protocol-Version", "1")
		}
		transcoder.ServeHTTP(w, r)
	})
}

// get answers a GET by the Connect protocol.
func (g *Gateway) get(w http.ResponseWriter, r *http.Request, m *method) {
	errs := connect.NewErrorWriter()
	w.Header().Add("Vary", TenantHeader)
	w.Header().Set("Cache-Control", "no-store")
	query := r.URL.Query()
	request, err := messageOf(query, m)
	if err != nil {
		_ = errs.Write(w, r, connectError(err))
		return
	}
	media := mediaJSON
	if query.Get("encoding") == "proto" {
		media = mediaBinary
	}
	ctx, cancel := contextOf(r)
	defer cancel()
	tag := g.tagOf(ctx, m, request, media)
	if tag != "" && matches(r.Header.Values("If-None-Match"), tag) {
		g.keepable(w.Header(), r, tag)
		w.WriteHeader(http.StatusNotModified)
		return
	}
	answer, err := g.service.Call(ctx, m.name, request)
	if err != nil {
		_ = errs.Write(w, r, connectError(err))
		return
	}
	if tag != "" && whole(answer) {
		g.keepable(w.Header(), r, tag)
	}
	g.answer(w, m, answer, media)
}

// keepable lets caches keep an answer: all of them where no tenant has asked.
func (g *Gateway) keepable(h http.Header, r *http.Request, tag string) {
	who, fresh := "public", int(g.config.Fresh.Seconds())
	if len(r.Header.Values(TenantHeader)) > 0 {
		who = "private"
	}
	h.Set("Cache-Control", fmt.Sprintf("%s, max-age=%d, stale-while-revalidate=%d", who, fresh, fresh))
	h.Set("ETag", tag)
}

// messageOf is the encoded request in the query of a GET.
func messageOf(query url.Values, m *method) ([]byte, error) {
	if v := query.Get("connect"); v != "" && v != "v1" {
		return nil, invalid(fmt.Sprintf("the query asks for version %.20q of Connect; v1 is served", v))
	}
	message := []byte(query.Get("message"))
	if query.Get("base64") == "1" {
		plain, err := base64.RawURLEncoding.DecodeString(strings.TrimRight(string(message), "="))
		if err != nil {
			return nil, invalid("message is said to be base64 (RFC 4648, section 5) and is not")
		}
		message = plain
	}
	message, err := unpack(bytes.NewReader(message), int64(len(message)), query.Get("compression"), document.MaxText)
	if err != nil {
		return nil, invalid("message cannot be read: " + err.Error())
	}
	switch query.Get("encoding") {
	case "proto":
		return message, nil
	case "json":
		encoded, err := m.request.Encode(message)
		if err != nil {
			return nil, document.Status(jsonwire.Violations(err)).Err()
		}
		return encoded, nil
	default:
		return nil, invalid(fmt.Sprintf("encoding is json or proto, not %.20q", query.Get("encoding")))
	}
}

func invalid(reason string) error {
	return document.Status([]document.Violation{{Reason: reason}}).Err()
}

// connectError shows a status as an error of Connect.
func connectError(err error) *connect.Error {
	st := status.Convert(err)
	out := connect.NewError(connect.Code(st.Code()), errors.New(st.Message()))
	for _, detail := range st.Details() {
		if m, ok := detail.(protoadapt.MessageV1); ok {
			if d, err := connect.NewErrorDetail(protoadapt.MessageV2Of(m)); err == nil {
				out.AddDetail(d)
			}
		}
	}
	return out
}

// strictJSON is JSON for Connect as for the routes: unknown fields are refused, and
// what could leave a page is escaped.
type strictJSON struct{}

func (strictJSON) Name() string { return vanguard.CodecJSON }

func (strictJSON) MarshalAppend(b []byte, m proto.Message) ([]byte, error) {
	return jsonwire.AppendMessage(b, m)
}

func (strictJSON) Unmarshal(text []byte, m proto.Message) error {
	if len(text) > document.MaxText {
		return connect.NewError(connect.CodeResourceExhausted, &tooLarge{document.MaxText})
	}
	if codec, err := jsonwire.New(m.ProtoReflect().Type()); err == nil {
		encoded, err := codec.Encode(text)
		if err != nil {
			return connectError(document.Status(jsonwire.Violations(err)).Err())
		}
		return proto.Unmarshal(encoded, m)
	}
	return protojson.UnmarshalOptions{RecursionLimit: document.MaxNesting}.Unmarshal(text, m)
}

func (j strictJSON) MarshalAppendStable(b []byte, m proto.Message) ([]byte, error) {
	return j.MarshalAppend(b, m)
}

func (strictJSON) IsBinary() bool { return false }

// MarshalAppendField and UnmarshalField are for REST, which does not go through the
// transcoder.
func (strictJSON) MarshalAppendField([]byte, proto.Message, protoreflect.FieldDescriptor) ([]byte, error) {
	return nil, errNoREST
}

func (strictJSON) UnmarshalField([]byte, proto.Message, protoreflect.FieldDescriptor) error {
	return errNoREST
}

var errNoREST = errors.New("the transcoder serves no routes; the gateway does")
