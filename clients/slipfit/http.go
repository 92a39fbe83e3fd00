package main

import (
	"fmt"
	"log/slog"
	"net"
	"time"

	"github.com/spf13/pflag"

	"slipfit.example/clients/web"
	"slipfit.example/proto/openapi"
	"slipfit.example/server"
	"slipfit.example/server/gateway"
)

// httpOptions are the flags of serve for HTTP.
type httpOptions struct {
	address  string
	origins  []string
	framedBy []string
	fresh    time.Duration
	site     bool
}

func (o *httpOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.address, "http", "127.0.0.1:7482", "serve HTTP at `HOST:PORT`, nowhere if empty")
	f.StringSliceVar(&o.origins, "origins", nil, "let pages of `ORIGINS` ask from browsers, such as https://shop.example")
	f.StringSliceVar(&o.framedBy, "framed-by", nil, "let pages of `ORIGINS` show sheets and the demo shop in frames")
	f.DurationVar(&o.fresh, "fresh", 30*time.Second, "how long shared caches may answer a GET by themselves, and once more as long while they ask anew")
	f.BoolVar(&o.site, "site", true, "serve the demo shop at the root")
}

// serve serves HTTP beside gRPC, says where, and tells ended when it ends. The service
// ends it.
func (o *httpOptions) serve(s *server.Server, connections int, log *slog.Logger, ended chan<- error) (address string, err error) {
	if o.address == "" {
		return "", nil
	}
	config := gateway.Config{
		Origins: o.origins, Ancestors: o.framedBy, Fresh: o.fresh, Connections: connections,
		Description: openapi.JSON, DescriptionYAML: openapi.YAML,
	}
	if o.site {
		config.Site = web.New
	}
	face, err := gateway.New(s, config)
	if err != nil {
		return "", err
	}
	listener, err := net.Listen("tcp", o.address)
	if err != nil {
		return "", fmt.Errorf("HTTP cannot be served at %s: %w; choose another address with --http", o.address, err)
	}
	faces := face.NewServer(log)
	s.EndWith(faces.Stop)
	go func() { ended <- faces.Serve(listener) }()
	return "http://" + listener.Addr().String(), nil
}
