package gateway

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"time"

	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/jsonwire"
)

// TenantHeader is the header by which a tenant's policy is found, as the metadata of
// this name is over gRPC.
const TenantHeader = "Slipfit-Tenant"

// Media types of answers.
const (
	mediaJSON   = "application/json"
	mediaHTML   = "text/html; charset=utf-8"
	mediaLines  = "application/x-ndjson"
	mediaBinary = "application/proto"
)

// unary answers one request at a route.
func (g *Gateway) unary(w http.ResponseWriter, r *http.Request, at *route) {
	request, bad := g.requestOf(w, r, at)
	if bad != nil {
		bad.write(w)
		return
	}
	media := mediaJSON
	if at.name == v1.SheetService_MakeSheet_FullMethodName && prefersHTML(r.Header.Values("Accept")) {
		media = mediaHTML
	}
	ctx, cancel := contextOf(r)
	defer cancel()
	tag := g.tagOf(ctx, at.method, request, media)
	h := w.Header()
	h.Add("Vary", "Accept, "+TenantHeader)
	h.Set("Cache-Control", "no-cache, private")
	if tag != "" && matches(r.Header.Values("If-None-Match"), tag) {
		h.Set("ETag", tag)
		w.WriteHeader(http.StatusNotModified)
		return
	}
	answer, err := g.service.Call(ctx, at.name, request)
	if err != nil {
		problemOf(err).write(w)
		return
	}
	if tag != "" && whole(answer) {
		h.Set("ETag", tag)
	} else {
		h.Set("Cache-Control", "no-store")
	}
	g.answer(w, at.method, answer, media)
}

// answer writes an encoded answer.
func (g *Gateway) answer(w http.ResponseWriter, m *method, answer []byte, media string) {
	body, err := answer, error(nil)
	switch media {
	case mediaJSON:
		body, err = m.answer.Append(make([]byte, 0, 3*len(answer)), answer)
		body = append(body, '\n')
	case mediaHTML:
		sheet := new(v1.MakeSheetResponse)
		err = proto.Unmarshal(answer, sheet)
		body = []byte(sheet.GetHtml())
		w.Header().Set("Content-Security-Policy", g.sheetPolicy(body))
	}
	if err != nil {
		problem{Title: "The service failed", Status: http.StatusInternalServerError, Code: "INTERNAL", Detail: err.Error()}.write(w)
		return
	}
	h := w.Header()
	h.Set("Content-Type", media)
	h.Set("Content-Length", strconv.Itoa(len(body)))
	_, _ = w.Write(body)
}

// whole tells whether every pack answered. What only looks like one that did not is
// answered as if it had not, which costs a cache something and nobody else.
func whole(answer []byte) bool { return !bytes.Contains(answer, []byte("host.pack-answers")) }

// requestOf encodes the request that body, path and query make.
func (g *Gateway) requestOf(w http.ResponseWriter, r *http.Request, at *route) ([]byte, *problem) {
	var request []byte
	if at.whole || at.body != nil {
		text, bad := readJSON(w, r)
		if bad != nil {
			return nil, bad
		}
		codec := at.request
		if !at.whole {
			codec = at.body
		}
		encoded, err := codec.Encode(text)
		if err != nil {
			bad := refused(jsonwire.Violations(err))
			return nil, &bad
		}
		if at.whole {
			request = encoded
		} else {
			request = protowire.AppendTag(make([]byte, 0, len(encoded)+16), at.bodyNumber, protowire.BytesType)
			request = protowire.AppendBytes(request, encoded)
		}
	}
	if at.variable != "" {
		request = appendText(request, at.texts[at.variable], r.PathValue(at.variable))
	}
	return at.query(r, request)
}

// query adds the fields that the query sets.
func (r *route) query(request *http.Request, encoded []byte) ([]byte, *problem) {
	if request.URL.RawQuery == "" {
		return encoded, nil
	}
	for name, values := range request.URL.Query() {
		number, known := r.texts[name]
		reason := ""
		switch {
		case !known || name == r.variable:
			reason = fmt.Sprintf("%s takes no %.64q in its query", r.path, name)
		case len(values) != 1:
			reason = fmt.Sprintf("%s stands %d times in the query; give it once", name, len(values))
		}
		if reason != "" {
			bad := refused([]document.Violation{{Path: "", Reason: reason}})
			return nil, &bad
		}
		encoded = appendText(encoded, number, values[0])
	}
	return encoded, nil
}

func appendText(b []byte, number protowire.Number, text string) []byte {
	return protowire.AppendString(protowire.AppendTag(b, number, protowire.BytesType), strings.ToValidUTF8(text, "\uFFFD"))
}

// contextOf gives a request's context what gRPC's would have: the tenant as metadata,
// and the deadline that the client asks for, by "Prefer: wait=SECONDS" (RFC 7240,
// section 4.3) or as Connect has it.
func contextOf(r *http.Request) (context.Context, context.CancelFunc) {
	ctx := r.Context()
	if tenants := r.Header.Values(TenantHeader); len(tenants) > 0 {
		ctx = metadata.NewIncomingContext(ctx, metadata.MD{strings.ToLower(TenantHeader): tenants})
	}
	if limit := patience(r.Header); limit > 0 {
		return context.WithTimeout(ctx, limit)
	}
	return ctx, func() {}
}

// patience is how long the client waits, 0 where it does not say.
func patience(h http.Header) time.Duration {
	const most = 24 * 60 * 60
	if text := h.Get("Connect-Timeout-Ms"); text != "" {
		if ms, err := strconv.ParseUint(text, 10, 32); err == nil {
			return max(time.Duration(ms)*time.Millisecond, 1)
		}
	}
	for _, line := range h.Values("Prefer") {
		for preference := range strings.SplitSeq(line, ",") {
			name, value, _ := strings.Cut(strings.TrimSpace(preference), "=")
			seconds, err := strconv.ParseUint(strings.Trim(value, `"`), 10, 32)
			if strings.EqualFold(name, "wait") && err == nil && seconds > 0 && seconds <= most {
				return time.Duration(seconds) * time.Second
			}
		}
	}
	return 0
}

// prefersHTML tells whether a page is wanted rather than JSON: it weighs more in
// Accept, or as much and stands first (RFC 9110, section 12.5.1).
func prefersHTML(accept []string) bool {
	page, data := -1.0, -1.0
	first := ""
	for _, line := range accept {
		for entry := range strings.SplitSeq(line, ",") {
			media, parameters, err := mime.ParseMediaType(entry)
			if err != nil && !errors.Is(err, mime.ErrInvalidMediaParameter) {
				continue
			}
			weight := 1.0
			if q, err := strconv.ParseFloat(parameters["q"], 64); err == nil {
				weight = q
			}
			switch media {
			case "text/html", "application/xhtml+xml":
				page = max(page, weight)
			case mediaJSON:
				data = max(data, weight)
			default:
				continue
			}
			if first == "" {
				first = media
			}
		}
	}
	return page > 0 && (page > data || page == data && first != mediaJSON)
}
