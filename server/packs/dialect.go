package packs

import (
	"context"
	"fmt"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// dialect is how the host speaks one version of the pack protocol, so that everything
// behind it sees packs of every version alike, as the newest has them.
type dialect struct {
	// question asks the pack what it is.
	question *packv1.DescribeRequest
	// adapt turns the answer into one of the newest version.
	adapt func(*packv1.DescribeResponse)
}

// dialects are the versions that this host speaks.
var dialects = map[int]dialect{
	1: {
		question: &packv1.DescribeRequest{Protocol: proto.Uint32(1)},
		// A pack of version 1 knows no further forms. One that was built when the field
		// had not been thought of cannot have meant anything by it.
		adapt: func(d *packv1.DescribeResponse) { d.Capabilities = nil },
	},
	2: {
		question: &packv1.DescribeRequest{Protocol: proto.Uint32(2), Capabilities: plug.Capabilities},
		adapt:    func(*packv1.DescribeResponse) {},
	},
}

// checkProtocol refuses a pack whose version of the protocol this host does not speak.
func checkProtocol(pack int) error {
	_, spoken := dialects[pack]
	switch {
	case spoken:
		return nil
	case pack > plug.Protocol:
		return fmt.Errorf("it speaks version %d of the pack protocol and this host versions %d to %d; update the host", pack, plug.OldestProtocol, plug.Protocol)
	default:
		return fmt.Errorf("it speaks version %d of the pack protocol and this host versions %d to %d; update the pack", pack, plug.OldestProtocol, plug.Protocol)
	}
}

// introduce asks the pack what it is, in the version of the protocol that its
// handshake settled on, and refuses another one than was asked for.
func (i *Instance) introduce(ctx context.Context, accept func(*packv1.DescribeResponse) error) error {
	settled := i.child.said.protocol
	speak := dialects[settled]
	d, err := i.client.Describe(ctx, speak.question, grpc.WaitForReady(true))
	if err != nil {
		return fmt.Errorf("it did not say what it is: %w", err)
	}
	if i.pack != "" && d.GetName() != i.pack {
		return fmt.Errorf("it calls itself %s; list it by that name, or name the right program", shown(d.GetName()))
	}
	if err := checkProtocol(int(d.GetProtocol())); err != nil {
		return err
	}
	if int(d.GetProtocol()) != settled {
		return fmt.Errorf("its handshake settles on version %d of the pack protocol and it answers in version %d; build it with one release of the pack kit", settled, d.GetProtocol())
	}
	speak.adapt(d)
	if accept != nil {
		if err := accept(d); err != nil {
			return err
		}
	}
	i.describe = d
	i.ready = time.Now()
	close(i.introduced)
	return nil
}
