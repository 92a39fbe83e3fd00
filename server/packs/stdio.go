package packs

import (
	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/types/known/emptypb"
)

// longestPrinted bounds one message of printed output in bytes; go-plugin sends 1 KiB.
const longestPrinted = 64 << 10

// readPrinted reads what the pack prints to os.Stdout and os.Stderr after its
// handshake. go-plugin keeps both in the pack until somebody takes them by its
// GRPCStdio service, and what prints would wait. The stream ends with the instance.
func (i *Instance) readPrinted() {
	stream, err := i.conn.NewStream(i.ctx, &grpc.StreamDesc{ServerStreams: true}, "/plugin.GRPCStdio/StreamStdio",
		grpc.WaitForReady(true), grpc.MaxCallRecvMsgSize(longestPrinted))
	if err != nil {
		return
	}
	if stream.SendMsg(&emptypb.Empty{}) != nil || stream.CloseSend() != nil {
		return
	}
	// An unended line of one channel must not swallow the other's.
	var channels [3]lineWriter
	for c := range channels {
		channels[c].sink = i.child.printed
		defer channels[c].flush()
	}
	for {
		// StdioData is not among go-plugin's exported messages: its fields arrive as
		// fields that Empty does not know.
		var message emptypb.Empty
		if err := stream.RecvMsg(&message); err != nil {
			return
		}
		channel, data := printedData(message.ProtoReflect().GetUnknown())
		_, _ = channels[min(channel, uint64(len(channels)-1))].Write(data)
	}
}

// printedData takes an encoded plugin.StdioData apart: field 1 is the channel, 1 for
// standard output and 2 for standard error, field 2 the bytes. What is not there, or
// broken, is zero.
func printedData(fields []byte) (channel uint64, data []byte) {
	const channelField, dataField = 1, 2
	for len(fields) > 0 {
		number, kind, n := protowire.ConsumeTag(fields)
		if n < 0 {
			return channel, data
		}
		fields = fields[n:]
		switch {
		case number == channelField && kind == protowire.VarintType:
			channel, n = protowire.ConsumeVarint(fields)
		case number == dataField && kind == protowire.BytesType:
			data, n = protowire.ConsumeBytes(fields)
		default:
			n = protowire.ConsumeFieldValue(number, kind, fields)
		}
		if n < 0 {
			return channel, data
		}
		fields = fields[n:]
	}
	return channel, data
}
