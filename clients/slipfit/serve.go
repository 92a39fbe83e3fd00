package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"runtime/debug"
	"time"

	"github.com/KimMachineGun/automemlimit/memlimit"
	"github.com/spf13/cobra"

	"slipfit.example/server"
	"slipfit.example/server/packs"
	"slipfit.example/server/policy"
)

// serveOptions are the flags of serve.
type serveOptions struct {
	listen      string
	http        httpOptions
	operations  string
	logFormat   string
	logLevel    string
	grace       time.Duration
	packTimeout time.Duration
	checks      int
	connections int
	spare       bool
	reflection  bool
	tenants     string
	house       []string
	inlineHouse bool
	shelf       shelfOptions
	shadow      shadowOptions
	catalogue   string
}

func serveCommand() *cobra.Command {
	o := &serveOptions{}
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Serve checks over gRPC and HTTP until told to stop",
		Long: `Serve checks over gRPC and HTTP until SIGINT or SIGTERM, then finish what is on its
way.

HTTP has the same services as JSON (POST /v1/check and others; GET /openapi.json lists
them), by Connect and by gRPC-Web, and a demo shop at its root. Pages of other origins
may ask once --origins names them.

The third address serves GET /metrics for Prometheus, /alive and /ready, and with
--shadow what the candidate has come to at /shadow, which slipfit shadow prints.`,
		Example: "  slipfit serve --listen 127.0.0.1:7480\n  slipfit check --server 127.0.0.1:7480 build.yaml",
		Args:    cobra.NoArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return serve(cmd.Context(), o, cmd.ErrOrStderr()) },
	}
	f := cmd.Flags()
	f.StringVar(&o.listen, "listen", "127.0.0.1:7480", "serve gRPC at `HOST:PORT`")
	o.http.flags(f)
	f.StringVar(&o.operations, "operations", "127.0.0.1:7481", "serve metrics and state at `HOST:PORT`, nowhere if empty")
	f.StringVar(&o.logFormat, "log-format", "text", "write the log as `text` or json")
	f.StringVar(&o.logLevel, "log-level", "info", "log from `debug`, info, warn or error upwards")
	f.DurationVar(&o.grace, "grace", 10*time.Second, "how long requests may go on after SIGTERM")
	f.DurationVar(&o.packTimeout, "pack-timeout", 2*time.Second, "how long one pack may take for one check")
	f.IntVar(&o.checks, "checks", 1024, "how many checks may be on their way at once")
	f.IntVar(&o.connections, "connections", 1024, "how many clients may be connected at once")
	f.BoolVar(&o.spare, "spare", true, "keep a second process of each pack started, to replace one that dies")
	f.BoolVar(&o.reflection, "reflection", true, "serve the contract to tools by gRPC reflection")
	f.StringVar(&o.tenants, "tenants", "", "set parameters as `FILE` does, for all and for each tenant that requests name in slipfit-tenant")
	f.StringSliceVar(&o.house, "house", nil, "judge by the house rules of `FILES` too")
	f.BoolVar(&o.inlineHouse, "inline-house", false, "let requests bring house rules of their own")
	o.shelf.flags(f)
	o.shadow.flags(f)
	f.StringVar(&o.catalogue, "catalogue", "", "keep the parts below `FOLDER` for shortlists, and read them again when a file changes")
	return cmd
}

func serve(ctx context.Context, o *serveOptions, errOut io.Writer) error {
	log, err := o.logger(errOut)
	if err != nil {
		return &exit{exitUsage, err}
	}
	setMemory(log)
	listener, err := net.Listen("tcp", o.listen)
	if err != nil {
		return &exit{exitUsage, fmt.Errorf("gRPC cannot be served at %s: %w", o.listen, err)}
	}
	defer func() { _ = listener.Close() }()
	starts, err := launches()
	if err != nil {
		return &exit{exitBroke, err}
	}
	tenants, houseRules, err := o.rules()
	if err != nil {
		return &exit{exitUsage, err}
	}
	external, err := o.shelf.folder(log)
	if err != nil {
		return &exit{exitUsage, err}
	}
	candidate, err := o.shadow.candidate(starts, o.house)
	if err != nil {
		return &exit{exitUsage, err}
	}
	if houseRules != nil {
		starts = append(starts, *houseRules)
	}
	s, err := server.Start(ctx, server.Config{
		Tenants: tenants, InlineHouse: o.inlineHouse, Shelf: external, Shadow: candidate,
		Packs: starts, PackOptions: packs.Options{Spare: o.spare}, Log: log, PackTimeout: o.packTimeout,
		Checks: o.checks, Connections: o.connections, Reflection: o.reflection, Sheet: sheetMaker(), Catalogue: o.catalogue,
	})
	if err != nil {
		return &exit{exitBroke, err}
	}
	operations, err := serveOperations(o.operations, s, log)
	if err != nil {
		return errors.Join(&exit{exitUsage, err}, s.Stop(ctx))
	}
	defer operations()
	ended := make(chan error, 2)
	web, err := o.http.serve(s, o.connections, log, ended)
	if err != nil {
		return errors.Join(&exit{exitUsage, err}, s.Stop(ctx))
	}
	go func() { ended <- s.Serve(listener) }()
	log.Info("serving", "grpc", listener.Addr().String(), "http", web, "operations", o.operations)
	select {
	case err = <-ended:
	case <-ctx.Done():
		log.Info("stopping", "grace", o.grace)
	}
	stopping, cancel := context.WithTimeout(context.WithoutCancel(ctx), o.grace)
	defer cancel()
	if err := errors.Join(err, s.Stop(stopping)); err != nil {
		return &exit{exitBroke, fmt.Errorf("the service did not stop cleanly: %w", err)}
	}
	log.Info("stopped")
	return nil
}

// rules reads the policies and the house rules that the service keeps.
func (o *serveOptions) rules() (*policy.Tenants, *packs.Launch, error) {
	tenants, err := readTenants(o.tenants)
	if err != nil {
		return nil, nil, err
	}
	text, err := readHouse(o.house)
	if err != nil || text == nil && !o.inlineHouse {
		return tenants, nil, err
	}
	launch, err := houseLaunch(*cmp.Or(text, new(string)), o.inlineHouse)
	return tenants, &launch, err
}

func (o *serveOptions) logger(errOut io.Writer) (*slog.Logger, error) {
	var level slog.Level
	if err := level.UnmarshalText([]byte(o.logLevel)); err != nil {
		return nil, fmt.Errorf("--log-level is debug, info, warn or error, not %q", o.logLevel)
	}
	options := &slog.HandlerOptions{Level: level}
	switch o.logFormat {
	case "text":
		return slog.New(slog.NewTextHandler(errOut, options)), nil
	case "json":
		return slog.New(slog.NewJSONHandler(errOut, options)), nil
	default:
		return nil, fmt.Errorf("--log-format is text or json, not %q", o.logFormat)
	}
}

// setMemory keeps the process within its container's memory, and lets garbage
// grow further than usual below that: answers are short-lived.
func setMemory(log *slog.Logger) {
	if _, err := memlimit.Set(memlimit.WithRatio(0.8), memlimit.WithProvider(
		memlimit.ApplyFallback(memlimit.FromCgroup, memlimit.FromSystem))); err != nil {
		log.Warn("the memory limit is unknown", "error", err)
		return
	}
	debug.SetGCPercent(400)
}

// serveOperations serves metrics and state, and returns what ends it.
func serveOperations(address string, s *server.Server, log *slog.Logger) (func(), error) {
	if address == "" {
		return func() {}, nil
	}
	listener, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("metrics cannot be served at %s: %w", address, err)
	}
	web := &http.Server{Handler: s.Operations(), ReadHeaderTimeout: 5 * time.Second}
	go func() {
		if err := web.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
			log.Error("metrics are no longer served", "error", err)
		}
	}()
	return func() { _ = web.Close() }, nil
}
