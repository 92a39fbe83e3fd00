//go:build linux

package packs

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/hashicorp/go-hclog"
	"github.com/hashicorp/go-plugin"
	"golang.org/x/sys/unix"
	"google.golang.org/grpc"
	"google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// The packs of these tests are written on go-plugin alone: none of the guards that a
// pack has from the kit helps the host here.

// bePack is a pack that goes wrong before its handshake, or serves.
func bePack(mode string) {
	switch mode {
	case "prints early":
		fmt.Println("hello from init")
	case "prints without end early":
		_, _ = os.Stdout.Write(bytes.Repeat([]byte("no end "), 1<<17))
	case "sleeps early":
		time.Sleep(time.Hour)
	case "ends early":
		fmt.Fprintln(os.Stderr, "the table of screws is missing")
		os.Exit(3)
	case "panics early":
		panic("no such thread")
	case "closes its output early":
		_ = os.Stdout.Close()
		time.Sleep(time.Hour)
	case "names an address":
		fmt.Printf("1|%d|%s|grpc|\n", plug.Protocol, os.Getenv(envHint))
		time.Sleep(time.Hour)
	case "names a link":
		link := filepath.Join(os.Getenv(plugin.EnvUnixSocketDir), "link")
		_ = os.Symlink(os.Getenv(envHint), link)
		fmt.Printf("1|%d|unix|%s|grpc|\n", plug.Protocol, link)
		time.Sleep(time.Hour)
	case "speaks another transport":
		fmt.Printf("1|%d|unix|%s/x|netrpc|\n", plug.Protocol, os.Getenv(plugin.EnvUnixSocketDir))
		time.Sleep(time.Hour)
	case "ignores the certificate":
		_ = os.Unsetenv("PLUGIN_CLIENT_CERT")
	}
	servePack(mode)
}

func servePack(mode string) {
	handshake := plug.Handshake
	handshake.ProtocolVersion = plug.Protocol
	switch mode {
	case "of protocol 1", "of protocol 1 with forms":
		handshake.ProtocolVersion = 1
	case "from the future":
		handshake.ProtocolVersion = plug.Protocol + 1
	case "from the past":
		handshake.ProtocolVersion = plug.OldestProtocol - 1
	}
	p := &unruly{mode: mode}
	plugin.Serve(&plugin.ServeConfig{
		HandshakeConfig: handshake,
		VersionedPlugins: map[int]plugin.PluginSet{
			int(handshake.ProtocolVersion): plug.Plugins(p),
		},
		Logger: hclog.NewNullLogger(),
		GRPCServer: func(opts []grpc.ServerOption) *grpc.Server {
			// No limits: the host's must hold. The codec's default is gRPC's own.
			return grpc.NewServer(append(opts, grpc.UnaryInterceptor(p.intercept))...)
		},
	})
}

// unruly does what it is told.
type unruly struct {
	packv1.UnimplementedPackServiceServer
	mode string
	sick atomic.Bool
}

func (u *unruly) Describe(context.Context, *packv1.DescribeRequest) (*packv1.DescribeResponse, error) {
	d := &packv1.DescribeResponse{
		Name: proto.String(os.Getenv(envName)), Version: proto.String("1.2.3"), Protocol: proto.Uint32(plug.Protocol),
	}
	switch u.mode {
	case "of protocol 1":
		d.Protocol = proto.Uint32(1)
	case "of protocol 1 with forms":
		d.Protocol, d.Capabilities = proto.Uint32(1), []string{"of a later time"}
	case "answers in an older protocol":
		d.Protocol = proto.Uint32(plug.Protocol - 1)
	case "has another name":
		d.Name = proto.String("stranger")
	case "describes another protocol":
		d.Protocol = proto.Uint32(plug.Protocol + 1)
	case "hangs when described":
		time.Sleep(time.Hour) // Past the caller's deadline.
	case "panics when described":
		panic("no description")
	case "dies soon":
		time.AfterFunc(10*time.Millisecond, func() { os.Exit(7) })
	}
	return d, nil
}

func (u *unruly) Evaluate(stream grpc.BidiStreamingServer[packv1.EvaluateRequest, packv1.EvaluateResponse]) error {
	for {
		r, err := stream.Recv()
		if err != nil {
			return err
		}
		answer := &packv1.EvaluateResponse{Batch: r.Batch}
		for _, t := range r.GetTasks() {
			answer.Outcomes = append(answer.Outcomes, &packv1.Outcome{Findings: u.obey(string(t.GetCheck()))})
		}
		if err := stream.Send(answer); err != nil {
			return err
		}
	}
}

func (u *unruly) obey(order string) []byte {
	order, argument, _ := strings.Cut(order, " ")
	switch order {
	case "panic":
		panic("a screw is loose")
	case "goroutine-panic":
		go panic("a screw is loose elsewhere")
		time.Sleep(time.Hour)
	case "exit":
		os.Exit(5)
	case "out-of-memory":
		_ = unix.Setrlimit(unix.RLIMIT_AS, &unix.Rlimit{Cur: 1 << 30, Max: 1 << 30})
		hoard = make([]byte, 4<<30)
	case "stop":
		_ = syscall.Kill(os.Getpid(), syscall.SIGSTOP)
	case "fall-sick":
		u.sick.Store(true)
	case "flood":
		_, _ = os.NewFile(1, "descriptor 1").Write(bytes.Repeat([]byte("x"), 1<<20))
	case "print":
		_, _ = io.WriteString(os.Stdout, strings.Repeat("y", 1<<20))
	case "complain":
		fmt.Fprintln(os.Stderr, argument)
	case "large":
		return make([]byte, plug.MaxAnswerBytes)
	case "half":
		return make([]byte, plug.MaxAnswerBytes/2)
	case "environment":
		return []byte(strings.Join(os.Environ(), "\n"))
	case "offspring":
		cmd := exec.Command("sleep", "3600")
		if err := cmd.Start(); err != nil {
			return []byte(err.Error())
		}
		return fmt.Append(nil, cmd.Process.Pid)
	}
	return []byte(order)
}

var hoard []byte

// intercept answers for health, which go-plugin otherwise answers with SERVING.
func (u *unruly) intercept(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	if info.FullMethod == grpc_health_v1.Health_Check_FullMethodName && u.mode != "knows no health" {
		s := grpc_health_v1.HealthCheckResponse_SERVING
		if u.sick.Load() {
			s = grpc_health_v1.HealthCheckResponse_NOT_SERVING
		}
		return &grpc_health_v1.HealthCheckResponse{Status: s}, nil
	}
	return next(ctx, req)
}

// beHost keeps two packs, prints their numbers, and waits to be killed.
func beHost() {
	program, _ := os.Executable()
	launch := func(name string) Launch {
		return Launch{Name: name, Command: []string{program}, Env: []string{envMode + "=serves", envName + "=" + name}}
	}
	s, err := Start(context.Background(), []Launch{launch("left"), launch("right")},
		Options{Dir: os.Getenv(envHint), ReadyTimeout: 20 * time.Second, StartTimeout: 20 * time.Second})
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	for _, status := range s.Statuses() {
		fmt.Println(status.PID)
	}
	select {}
}
