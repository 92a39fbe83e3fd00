package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"

	"slipfit.example/server"
)

// target says which service a command asks.
type target struct {
	server  string
	tls     bool
	verbose bool
	house   bool // the service within this program takes house rules of requests
}

func (t *target) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&t.server, "server", "", "ask the service at `HOST:PORT` instead of one within this program")
	cmd.Flags().BoolVar(&t.tls, "tls", false, "speak TLS with the service")
	cmd.Flags().BoolVar(&t.verbose, "verbose", false, "log what the service within this program does")
}

// connect returns a connection to the service, and what ends it. Without a server
// named, the service runs within this program, packs included.
func (t *target) connect(ctx context.Context, errOut io.Writer) (*grpc.ClientConn, func(), error) {
	if t.server != "" {
		return t.dial()
	}
	level := slog.LevelError
	if t.verbose {
		level = slog.LevelDebug
	}
	starts, err := launches()
	if err != nil {
		return nil, nil, &exit{exitBroke, err}
	}
	if t.house {
		launch, err := houseLaunch("", true)
		if err != nil {
			return nil, nil, &exit{exitBroke, err}
		}
		starts = append(starts, launch)
	}
	s, err := server.Start(ctx, server.Config{
		Packs: starts, InlineHouse: t.house, Sheet: sheetMaker(),
		// Nobody but this command waits, so a busy machine must make nothing late.
		PackTimeout: 30 * time.Second, Deadline: time.Minute,
		Log: slog.New(slog.NewTextHandler(errOut, &slog.HandlerOptions{Level: level})),
	})
	if err != nil {
		return nil, nil, &exit{exitBroke, err}
	}
	stop := func() {
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 2*time.Second)
		defer cancel()
		if err := s.Stop(ctx); err != nil {
			fmt.Fprintln(errOut, "slipfit: the packs did not stop cleanly:", err)
		}
	}
	conn, err := s.Connect()
	if err != nil {
		stop()
		return nil, nil, &exit{exitBroke, err}
	}
	return conn, func() { _ = conn.Close(); stop() }, nil
}

func (t *target) dial() (*grpc.ClientConn, func(), error) {
	secure := insecure.NewCredentials()
	if t.tls {
		secure = credentials.NewTLS(nil)
	}
	conn, err := grpc.NewClient(t.server, grpc.WithTransportCredentials(secure),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(16<<20)))
	if err != nil {
		return nil, nil, &exit{exitUsage, fmt.Errorf("%q is no address of a service: %w", t.server, err)}
	}
	return conn, func() { _ = conn.Close() }, nil
}

// away turns a transport's error into one that says what to do.
func (t *target) away(err error) error {
	var known *exit
	if errors.As(err, &known) {
		return err
	}
	switch st := status.Convert(err); st.Code() {
	case codes.Unavailable:
		return &exit{exitAway, fmt.Errorf("the service at %s cannot be reached (%s); is it running there?", t.server, st.Message())}
	case codes.NotFound, codes.InvalidArgument:
		return &exit{exitUsage, errors.New(st.Message())}
	default:
		return &exit{exitBroke, fmt.Errorf("the service did not answer: %s", st.Message())}
	}
}
