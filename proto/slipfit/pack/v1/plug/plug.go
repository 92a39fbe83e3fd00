// Package plug is the part of the pack protocol that protobuf cannot say: how a
// pack is started and recognised, and how much may travel in one message. The
// host of the packs and the packs both import it, so that neither has to import
// the other.
//
// A pack is a hashicorp/go-plugin process with one gRPC plugin. The host gives
// it [Handshake]'s cookie in the environment; the pack prints one line that
// names a Unix socket and serves slipfit.pack.v1.PackService there.
package plug

import (
	"context"

	"github.com/hashicorp/go-plugin"
	"google.golang.org/grpc"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// Versions of the pack protocol. A host speaks all from OldestProtocol to Protocol
// and settles with each pack, by go-plugin's negotiation, on the newest that both
// know: the handshake line, DescribeRequest.protocol and DescribeResponse.protocol
// all bear it. Messages only ever gain fields, so what makes a version is what the
// two sides may expect of each other:
//
//   - 1: Describe and Evaluate, and nothing beyond.
//   - 2: each side lists in Describe which forms beyond those it takes, by the names
//     in [Capabilities]; neither uses one that the other has not listed.
const (
	// Protocol is the newest version that this build speaks.
	Protocol = 2
	// OldestProtocol is the oldest that a host of this build still speaks.
	OldestProtocol = 1
)

// Capabilities are the forms of the protocol beyond those that version 2 demands,
// which a host of this build takes, by their names.
var Capabilities []string

// Name is the only plugin that a pack serves.
const Name = "pack"

// HealthService is the service that a host asks grpc.health.v1 about. A pack
// that does not know the name is taken at its answer: it is alive.
const HealthService = "slipfit.pack.v1.PackService"

// Limits of one message in bytes, after encoding. Both sides enforce both, so
// that neither can make the other allocate without bound. A host cuts its
// batches below MaxRequestBytes.
const (
	// MaxRequestBytes bounds what a host sends: eight checks of the greatest
	// size that a server accepts (1 MiB), or many more of the usual size.
	MaxRequestBytes = 8 << 20
	// MaxAnswerBytes bounds what a pack answers: a check's findings are a few KiB.
	MaxAnswerBytes = 4 << 20
)

// EnvWatchStdin is set to "1" by a host that keeps the other end of the pack's
// standard input open for as long as it lives: end of file there means that the
// host is gone. Without it, standard input means nothing.
const EnvWatchStdin = "SLIPFIT_PACK_WATCH_STDIN"

// Handshake is how a pack knows that a host started it. The cookie keeps people
// from running a pack by hand; it is no secret and protects nothing. Its version is
// the one that a side without negotiation is taken to speak.
var Handshake = plugin.HandshakeConfig{
	ProtocolVersion:  OldestProtocol,
	MagicCookieKey:   "SLIPFIT_PACK",
	MagicCookieValue: "slipfit.pack.v1",
}

// Plugins is the set with the one plugin that serves srv. A host passes nil.
func Plugins(srv packv1.PackServiceServer) plugin.PluginSet {
	return plugin.PluginSet{Name: &GRPC{Service: srv}}
}

// Versions are the plugins for each version of the protocol: one service answers in
// all of them. A host passes nil.
func Versions(srv packv1.PackServiceServer) map[int]plugin.PluginSet {
	sets := map[int]plugin.PluginSet{}
	for v := OldestProtocol; v <= Protocol; v++ {
		sets[v] = Plugins(srv)
	}
	return sets
}

// Settle is the version in which a pack of this build answers a host that asks in
// another: the host's, unless that is newer. A host that does not say speaks the
// oldest.
func Settle(asked *uint32) uint32 {
	if asked == nil {
		return OldestProtocol
	}
	return min(*asked, Protocol)
}

// GRPC ties PackService to go-plugin. It never uses go-plugin's broker: all
// input is in the request.
type GRPC struct {
	plugin.NetRPCUnsupportedPlugin
	// Service answers in the pack. Nil in a host.
	Service packv1.PackServiceServer
}

// GRPCServer registers PackService on the pack's server.
func (g *GRPC) GRPCServer(_ *plugin.GRPCBroker, s *grpc.Server) error {
	packv1.RegisterPackServiceServer(s, g.Service)
	return nil
}

// GRPCClient gives a packv1.PackServiceClient on a connection to a pack.
func (g *GRPC) GRPCClient(_ context.Context, _ *plugin.GRPCBroker, conn *grpc.ClientConn) (any, error) {
	return packv1.NewPackServiceClient(conn), nil
}

// ServerOptions are the limits on the pack's side.
func ServerOptions() []grpc.ServerOption {
	return []grpc.ServerOption{
		grpc.MaxRecvMsgSize(MaxRequestBytes),
		grpc.MaxSendMsgSize(MaxAnswerBytes),
		grpc.ForceServerCodecV2(Codec{}),
	}
}

// CallOptions are the limits on the host's side.
func CallOptions() []grpc.CallOption {
	return []grpc.CallOption{
		grpc.MaxCallSendMsgSize(MaxRequestBytes),
		grpc.MaxCallRecvMsgSize(MaxAnswerBytes),
		grpc.ForceCodecV2(Codec{}),
	}
}
