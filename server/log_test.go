package server_test

import (
	"log/slog"
	"strings"
	"testing"

	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

// Whatever a caller sends, good or refused, and whatever goes with it as metadata, the
// log has nothing of it, on no level.
func TestLogsTellNothingOfDocuments(t *testing.T) {
	const canary = "kanarienvogel"
	var log lines
	config := drillConfig()
	config.Log = slog.New(slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	s, err := server.Start(t.Context(), config)
	if err != nil {
		t.Fatal(err)
	}
	conn, _ := dial(t, s)
	ctx := metadata.AppendToOutgoingContext(soon(t), "authorization", "Bearer "+canary, canary, canary)
	client := v1.NewCheckServiceClient(conn)
	check := plainCheck(canary)
	check.Build.Title = proto.String(canary)
	check.Build.Items[0].Part.Name = proto.String(canary)
	if _, err := client.Check(ctx, check); err != nil {
		t.Fatal(err)
	}
	for _, spoil := range []func(*v1.CheckRequest){
		func(c *v1.CheckRequest) {
			c.Policy = []*v1.PolicyValue{{Parameter: proto.String(canary), Value: proto.Float64(1)}}
		},
		func(c *v1.CheckRequest) { c.Packs = []*v1.PackPin{{Name: proto.String(canary)}} },
		func(c *v1.CheckRequest) {
			c.Packs = []*v1.PackPin{{Name: proto.String("drill"), Version: proto.String(canary)}}
		},
		func(c *v1.CheckRequest) { c.Wants = []string{canary} },
		func(c *v1.CheckRequest) { c.HouseRules = proto.String(canary) },
		func(c *v1.CheckRequest) { c.Build.Id = proto.String(canary + " " + canary) },
	} {
		refused := proto.CloneOf(check)
		spoil(refused)
		if _, err := client.Check(ctx, refused); err == nil {
			t.Errorf("%v is not refused", refused)
		}
	}
	if n := log.count("request ended"); n < 7 {
		t.Errorf("of 7 requests the log tells %d", n)
	}
	if n := log.count(canary); n != 0 {
		log.mu.Lock()
		defer log.mu.Unlock()
		t.Errorf("the log has the canary %d times:\n%s", n, strings.TrimSpace(log.text.String()))
	}
}
