package gateway

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"golang.org/x/net/netutil"
)

// Limits of the transport.
const (
	idleMinutes = 2
	// headerBytes has room for a check in the query of a GET.
	headerBytes = 64 << 10
)

// Server serves the gateway on listeners, by HTTP/1.1 and by HTTP/2 without TLS.
type Server struct {
	gateway *Gateway
	http    *http.Server
}

// NewServer makes a server of the gateway that logs what goes wrong with connections.
func (g *Gateway) NewServer(log *slog.Logger) *Server {
	protocols := new(http.Protocols)
	protocols.SetHTTP1(true)
	protocols.SetUnencryptedHTTP2(true)
	return &Server{g, &http.Server{
		Handler: g, Protocols: protocols,
		ReadHeaderTimeout: g.config.Head, IdleTimeout: idleMinutes * time.Minute, MaxHeaderBytes: headerBytes,
		HTTP2: &http.HTTP2Config{
			MaxConcurrentStreams: g.config.StreamsPerConnection, SendPingTimeout: time.Minute, PingTimeout: 20 * time.Second,
			WriteByteTimeout: g.config.Stall,
		},
		ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelDebug),
	}}
}

// Serve answers on a listener until Stop. It returns nil after Stop.
func (s *Server) Serve(l net.Listener) error {
	err := s.http.Serve(netutil.LimitListener(l, s.gateway.config.Connections))
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return fmt.Errorf("HTTP is no longer served: %w", err)
}

// Stop takes no more requests, lets those on their way end until ctx does, and cuts
// off the rest.
func (s *Server) Stop(ctx context.Context) {
	if s.http.Shutdown(ctx) != nil {
		_ = s.http.Close()
	}
}
