package server_test

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/signal"
	"syscall"
	"time"

	"slipfit.example/server"
)

// hostGrace is how long a host of the tests lets requests go on after SIGTERM.
const hostGrace = 8 * time.Second

// beHost is a whole service in a process of its own: it prints its address, serves
// until SIGTERM, and prints its metrics when everything has ended.
func beHost() {
	if err := hostUntilSignal(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func hostUntilSignal() error {
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, syscall.SIGTERM)
	config := server.Config{Packs: launches(), Log: quiet}
	config.PackOptions.Spare = true
	s, err := server.Start(context.Background(), config)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(l) }()
	fmt.Println(l.Addr())
	select {
	case err := <-ended:
		return fmt.Errorf("serving ended before SIGTERM: %w", err)
	case <-signals:
	}
	ctx, cancel := context.WithTimeout(context.Background(), hostGrace)
	defer cancel()
	if err := s.Stop(ctx); err != nil {
		return err
	}
	if ctx.Err() != nil {
		return fmt.Errorf("requests went on for the whole grace of %v", hostGrace)
	}
	if err := <-ended; err != nil {
		return err
	}
	page := httptest.NewRecorder()
	s.Operations().ServeHTTP(page, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	_, err = fmt.Print(page.Body.String())
	return err
}
