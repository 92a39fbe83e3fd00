package plug

import (
	"testing"

	"google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// requests draws batches of every size class, so that both the pooled and the
// plain buffers are used.
func requests() *rapid.Generator[*packv1.EvaluateRequest] {
	return rapid.Custom(func(t *rapid.T) *packv1.EvaluateRequest {
		r := &packv1.EvaluateRequest{Batch: proto.Uint64(rapid.Uint64().Draw(t, "batch"))}
		for range rapid.IntRange(0, 4).Draw(t, "tasks") {
			task := &packv1.Task{Check: rapid.SliceOfN(rapid.Byte(), 0, 2000).Draw(t, "check")}
			for range rapid.IntRange(0, 2).Draw(t, "facts") {
				task.Facts = append(task.Facts, &packv1.Fact{
					Name:  proto.String(rapid.StringN(0, 20, 40).Draw(t, "name")),
					Value: rapid.SliceOfN(rapid.Byte(), 0, 50).Draw(t, "value"),
				})
			}
			r.Tasks = append(r.Tasks, task)
		}
		return r
	})
}

// The reference is the protobuf module itself: what the codec encodes it decodes,
// and the other way round.
func TestCodecAgreesWithTheProtobufModule(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := requests().Draw(t, "request")
		encoded, err := Codec{}.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		var byModule packv1.EvaluateRequest
		if err := proto.Unmarshal(encoded.Materialize(), &byModule); err != nil {
			t.Fatal(err)
		}
		if !proto.Equal(want, &byModule) {
			t.Fatalf("the module reads %v, want %v", &byModule, want)
		}
		plain, err := proto.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		var byCodec packv1.EvaluateRequest
		half := rapid.IntRange(0, len(plain)).Draw(t, "cut")
		pieces := mem.BufferSlice{mem.SliceBuffer(plain[:half]), mem.SliceBuffer(plain[half:])}
		if err := (Codec{}).Unmarshal(pieces, &byCodec); err != nil {
			t.Fatal(err)
		}
		clear(plain) // The message must not point into gRPC's buffers.
		if !proto.Equal(want, &byCodec) {
			t.Fatalf("the codec reads %v, want %v", &byCodec, want)
		}
	})
}

func TestCodecCarriesMessagesWithoutGeneratedCode(t *testing.T) {
	want := &grpc_health_v1.HealthCheckRequest{Service: HealthService}
	encoded, err := Codec{}.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	got := new(grpc_health_v1.HealthCheckRequest)
	if err := (Codec{}).Unmarshal(encoded, got); err != nil {
		t.Fatal(err)
	}
	if got.GetService() != HealthService {
		t.Errorf("service %q, want %q", got.GetService(), HealthService)
	}
}

func TestCodecRefusesGarbage(t *testing.T) {
	err := Codec{}.Unmarshal(mem.BufferSlice{mem.SliceBuffer("\xff\xff\xff")}, new(packv1.EvaluateRequest))
	if err == nil {
		t.Fatal("three bytes of garbage were decoded")
	}
}

func TestHealthServiceIsTheServiceThatPacksServe(t *testing.T) {
	if got := packv1.PackService_ServiceDesc.ServiceName; got != HealthService {
		t.Errorf("the contract's service is %q, HealthService is %q", got, HealthService)
	}
}
