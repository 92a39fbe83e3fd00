package main

import (
	"net"
	"strings"
	"testing"
)

// What HTTP cannot be served by is told before anything is served.
func TestServeSaysWhyThereIsNoHTTP(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = taken.Close() }()
	for want, args := range map[string][]string{
		"choose another address with --http": {"--http", taken.Addr().String()},
		`"shop.example" is no origin`:        {"--http", "127.0.0.1:0", "--origins", "shop.example"},
		`"*" is no origin`:                   {"--http", "127.0.0.1:0", "--framed-by", "*"},
	} {
		args = append([]string{"serve", "--listen", "127.0.0.1:0", "--operations", "", "--spare=false"}, args...)
		if code, _, errOut := slipfit(t, "", args...); code != exitUsage || !strings.Contains(errOut, want) {
			t.Errorf("%v: exit code %d, errors %q, want %q", args, code, errOut, want)
		}
	}
}
