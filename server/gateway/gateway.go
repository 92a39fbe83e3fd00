// Package gateway serves the service over HTTP: as JSON at the routes that the
// contract's google.api.http annotations name, as lines of JSON where a method
// streams, and by Connect and gRPC-Web at the names of the methods.
//
// JSON goes to the handlers of gRPC without a connection in between, from text to
// encoded message and back ([jsonwire]); Connect and gRPC-Web go through a
// transcoder. Limits, metrics and refusals are those of gRPC, since the handlers are.
package gateway

import (
	"context"
	"fmt"
	"net/http"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"connectrpc.com/cors"
	"github.com/klauspost/compress/gzhttp"
	rscors "github.com/rs/cors"
	"google.golang.org/grpc"
)

// Service is what the gateway passes requests on to.
type Service interface {
	// Call answers one encoded request of a unary method. Request metadata is in the
	// context as gRPC has it, and the error is a status.
	Call(ctx context.Context, method string, request []byte) ([]byte, error)
	// Stream answers a stream whose messages are *[]byte, encoded. The error is a
	// status.
	Stream(method string, stream grpc.ServerStream) error
	// Digest is the ruleset digest that the answer to an encoded CheckRequest will
	// bear.
	Digest(ctx context.Context, check []byte) (string, error)
	// Transcoded serves gRPC as a http.Handler.
	Transcoded() *grpc.Server
}

// Config says how HTTP is served. The zero value is usable.
type Config struct {
	// Origins are the pages that may ask from a browser, as scheme, host and port,
	// such as "https://shop.example". A * stands for one part of a host's name. Empty:
	// none but those that are served here.
	Origins []string
	// Ancestors are the pages that may show pages of this service in a frame, as
	// Origins. Empty: none.
	Ancestors []string
	// Fresh is how long a shared cache may answer a GET by itself, and once more as
	// long while it asks anew. Zero: 30 s.
	Fresh time.Duration
	// Connections is how many clients may be connected at once. Zero: 1024.
	Connections int
	// StreamsPerConnection is how many requests an HTTP/2 connection may have open.
	// Zero: 128.
	StreamsPerConnection int
	// Stall is how long a client may send or take nothing while it is its turn, and
	// whole requests that are no streams may take five times as long to arrive. Zero:
	// 10 s.
	Stall time.Duration
	// Head is how long the head of a request may take to arrive. Zero: 5 s.
	Head time.Duration
	// Idle is how long a stream of requests may say nothing. Zero: 5 min.
	Idle time.Duration
	// Site makes the pages at the root, which may use the routes of api. Nil: one
	// plain page says what is where.
	Site func(api http.Handler) (http.Handler, error)
	// Description is the OpenAPI document, as JSON and as YAML.
	Description, DescriptionYAML []byte
}

func (c *Config) setDefaults() {
	if c.Fresh <= 0 {
		c.Fresh = 30 * time.Second
	}
	if c.Connections <= 0 {
		c.Connections = 1024
	}
	if c.StreamsPerConnection <= 0 {
		c.StreamsPerConnection = 128
	}
	if c.Stall <= 0 {
		c.Stall = 10 * time.Second
	}
	if c.Head <= 0 {
		c.Head = 5 * time.Second
	}
	if c.Idle <= 0 {
		c.Idle = 5 * time.Minute
	}
}

// Gateway is the http.Handler of all faces.
type Gateway struct {
	config  Config
	service Service
	build   string // of this program, so that another one's answers are not taken for its own
	streams map[string]bool
	handler http.Handler
}

// New makes the gateway. It fails where an origin is none, or where the contract says
// what the gateway cannot do.
func New(service Service, config Config) (*Gateway, error) {
	config.setDefaults()
	g := &Gateway{config: config, service: service, build: buildID(), streams: map[string]bool{}}
	for _, origin := range slices.Concat(config.Origins, config.Ancestors) {
		if err := vetOrigin(origin); err != nil {
			return nil, err
		}
	}
	api := http.NewServeMux()
	if err := g.addRoutes(api); err != nil {
		return nil, err
	}
	g.addDescription(api)
	compressed, err := compress(api)
	if err != nil {
		return nil, err
	}
	whole := http.NewServeMux()
	whole.Handle("/v1/", compressed)
	whole.Handle("GET /openapi.json", compressed)
	whole.Handle("GET /openapi.yaml", compressed)
	if err := g.addLines(whole); err != nil {
		return nil, err
	}
	if err := g.addMethods(whole); err != nil {
		return nil, err
	}
	shared := g.share(whole)
	site, err := g.site(shared)
	if err != nil {
		return nil, err
	}
	root := http.NewServeMux()
	for _, pattern := range []string{"/v1/", "/openapi.json", "/openapi.yaml"} {
		root.Handle(pattern, shared)
	}
	root.Handle("/", site)
	g.handler = g.guard(g.dispatch(shared, root))
	return g, nil
}

// dispatch sends the names of methods to the faces, since a pattern cannot match a
// part of a path's segment.
func (g *Gateway) dispatch(shared, others http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/slipfit.") {
			shared.ServeHTTP(w, r)
			return
		}
		others.ServeHTTP(w, r)
	})
}

// ServeHTTP answers.
func (g *Gateway) ServeHTTP(w http.ResponseWriter, r *http.Request) { g.handler.ServeHTTP(w, r) }

// compress answers by gzip or zstd where the client takes one and it pays.
func compress(h http.Handler) (http.Handler, error) {
	const worthwhile = 1 << 10
	wrap, err := gzhttp.NewWrapper(gzhttp.MinSize(worthwhile), gzhttp.EnableZstd(true), gzhttp.PreferZstd(false))
	if err != nil {
		return nil, fmt.Errorf("answers cannot be compressed: %w", err)
	}
	return wrap(h), nil
}

// share lets pages of the origins that are allowed ask, and no others.
func (g *Gateway) share(h http.Handler) http.Handler {
	if len(g.config.Origins) == 0 {
		return h
	}
	return rscors.New(rscors.Options{
		AllowedOrigins: g.config.Origins,
		AllowedMethods: cors.AllowedMethods(),
		AllowedHeaders: append(cors.AllowedHeaders(), "If-None-Match", "Prefer", TenantHeader, "Content-Encoding"),
		ExposedHeaders: append(cors.ExposedHeaders(), "ETag", "Retry-After"),
		MaxAge:         int((2 * time.Hour).Seconds()),
	}).Handler(h)
}

// vetOrigin refuses what a browser would never send as Origin.
func vetOrigin(origin string) error {
	scheme, host, ok := strings.Cut(origin, "://")
	if !ok || scheme != "https" && scheme != "http" || host == "" || strings.ContainsAny(host, "/?#@ ;,'\"\\") || strings.Count(host, "*") > 1 {
		return fmt.Errorf("%q is no origin; write scheme and host, and a port where there is one, such as https://shop.example", origin)
	}
	return nil
}

// site is what the root serves.
func (g *Gateway) site(api http.Handler) (http.Handler, error) {
	if g.config.Site == nil {
		return http.HandlerFunc(g.directory), nil
	}
	site, err := g.config.Site(api)
	if err != nil {
		return nil, fmt.Errorf("the pages at the root cannot be served: %w", err)
	}
	return site, nil
}

// buildID names this program's build as far as it is known.
func buildID() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	id := info.Main.Version
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" || s.Key == "vcs.modified" {
			id += " " + s.Value
		}
	}
	return id
}
