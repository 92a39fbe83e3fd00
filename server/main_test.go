package server_test

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"testing"
	"time"

	"google.golang.org/grpc"

	"slipfit.example/rules/clearance"
	mating "slipfit.example/rules/interface"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/rules/mounting"
	"slipfit.example/rules/power"
	"slipfit.example/rules/thermal"
	"slipfit.example/server"
	"slipfit.example/server/packs"
)

// bePack in the environment makes the test binary one of the packs.
const bePack = "SLIPFIT_TEST_PACK"

var builtin = map[string]func() *kit.Pack{
	"clearance": clearance.Pack, "interface": mating.Pack, "mounting": mounting.Pack, "power": power.Pack, "thermal": thermal.Pack,
}

func TestMain(m *testing.M) {
	if play(os.Getenv(beOther)) {
		return
	}
	if name := os.Getenv(bePack); name != "" {
		evaluator, err := kit.NewEvaluator(builtin[name]())
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		if os.Getenv(bePlain) != "" {
			process.Serve(name, plainService{kit.NewService(evaluator)})
		}
		process.Serve(name, kit.NewService(evaluator))
		return
	}
	os.Exit(m.Run())
}

// launches start the test binary again, once for each pack.
func launches() []packs.Launch {
	var out []packs.Launch
	for name := range builtin {
		out = append(out, packs.Launch{Name: name, Command: []string{os.Args[0]}, Env: []string{bePack + "=" + name}})
	}
	return out
}

// start starts the service with the real packs as processes.
func start(t testing.TB, config server.Config) *server.Server {
	t.Helper()
	if config.Packs == nil {
		config.Packs = launches()
	}
	config.Log = slog.New(slog.DiscardHandler)
	config.PackOptions.Logger = config.Log
	s, err := server.Start(context.Background(), config)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		if err := s.Stop(ctx); err != nil {
			t.Error(err)
		}
	})
	return s
}

func connect(t testing.TB, s *server.Server) *grpc.ClientConn {
	t.Helper()
	conn, err := s.Connect()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}
