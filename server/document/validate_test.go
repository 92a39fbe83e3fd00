package document

import (
	"strings"
	"sync"
	"testing"

	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

func fanBuild() *slipfitv1.Build {
	part := &slipfitv1.Part{Kind: &slipfitv1.Part_Fan{Fan: &slipfitv1.Fan{}}}
	return &slipfitv1.Build{Items: []*slipfitv1.Item{{Id: proto.String("fan"), Part: part}}}
}

// TestMessagesThatNoDecoderChecked holds messages against what a lax decoder may
// have let in.
func TestMessagesThatNoDecoderChecked(t *testing.T) {
	v := newValidator(t)
	for _, c := range []struct {
		what  string
		spoil func(*slipfitv1.Build)
		want  string
	}{
		{"nothing", func(*slipfitv1.Build) {}, ""},
		{"unknown field", func(b *slipfitv1.Build) {
			raw := protowire.AppendVarint(protowire.AppendTag(nil, 999, protowire.VarintType), 1)
			b.Items[0].Part.GetFan().ProtoReflect().SetUnknown(raw)
		}, "items[0].part.fan: Fan has fields that the contract does not know; the sender may speak a newer version of it"},
		{"text", func(b *slipfitv1.Build) { b.Items[0].Part.Name = proto.String("a\xff") }, "items[0].part.name: name is no UTF-8; send text as UTF-8"},
		{"text in a list", func(b *slipfitv1.Build) {
			b.Items[0].Part.Figures = []*slipfitv1.Figure{{Fields: []string{"fan", "\xff"}}}
		}, "items[0].part.figures[0].fields[1]: fields is no UTF-8; send text as UTF-8"},
		{"messages", func(b *slipfitv1.Build) {
			for range MaxMessages {
				b.Items[0].Part.Joints = append(b.Items[0].Part.Joints, &slipfitv1.Joint{})
			}
		}, "items[0].part.joints[19996]: the document holds more than 20000 messages; leave something out"},
		{"size", func(b *slipfitv1.Build) { b.Title = proto.String(strings.Repeat("x", MaxEncoded)) },
			"the document is 1048592 bytes long; it may have 1048576, so leave something out"},
	} {
		build := fanBuild()
		c.spoil(build)
		found := v.ValidateBuild(build)
		switch {
		case c.want == "" && len(found) > 0:
			t.Errorf("%s: %v", c.what, found)
		case c.want != "" && (len(found) != 1 || found[0].String() != c.want):
			t.Errorf("%s: says\n%v\nwant\n%s", c.what, found, c.want)
		}
	}
	want := "there is no document; send one"
	var none *slipfitv1.CheckRequest
	if found := v.Validate(none); len(found) != 1 || found[0].Reason != want {
		t.Errorf("Validate(nil) says %v, want %s", found, want)
	}
}

// TestCheckRefusesBytes gives what cannot be decoded, or must not be.
func TestCheckRefusesBytes(t *testing.T) {
	v := newValidator(t)
	good := encode(t, &slipfitv1.CheckRequest{Build: fanBuild()})
	if found := v.Check(good); len(found) > 0 || !v.Accept(good) {
		t.Fatalf("Check refuses a good document: %v", found)
	}
	for _, c := range []struct{ what, data, want string }{
		{"nothing", "", "the document is empty"},
		{"cut off", string(good[:len(good)-1]), "build: the document ends or breaks off within this message; it may have been cut off"},
		{"unknown field", string(good) + "\xf8\x3e\x01", "CheckRequest has no field number 1007; the sender may speak a newer version of the contract"},
		{"too long", strings.Repeat("\x0a\x00", MaxEncoded/2+1), "the document is 1048578 bytes long; it may have 1048576, so leave something out"},
		{"tag zero", "\x00\x00", "the document ends or breaks off within this message; it may have been cut off"},
		{"groups in each other", strings.Repeat("\x0b", 100_000), "build: the field is encoded with wire type 3, which is not that of the message Build"},
	} {
		found := v.Check([]byte(c.data))
		if len(found) != 1 || found[0].String() != c.want {
			t.Errorf("%s: says\n%v\nwant\n%s", c.what, found, c.want)
		}
	}
}

// TestWaysOfEncodingThatMeanTheSame writes one document as other encoders may:
// what the walk does not follow, the long way takes.
func TestWaysOfEncodingThatMeanTheSame(t *testing.T) {
	v := newValidator(t)
	build := encode(t, fanBuild())
	field := func(number protowire.Number, content []byte) []byte {
		return protowire.AppendBytes(protowire.AppendTag(nil, number, protowire.BytesType), content)
	}
	overlong := append([]byte{0x8a, 0x00, byte(len(build))}, build...)
	twice := append(field(1, build), field(1, encode(t, &slipfitv1.Build{Id: proto.String("b")}))...)
	offsets := []byte{0x21, 0, 0, 0, 0, 0, 0, 0xf0, 0x3f, 0x22, 8, 0, 0, 0, 0, 0, 0, 0, 0x40}
	placement := append(encode(t, &slipfitv1.Placement{Item: proto.String("fan")}), offsets...)
	mixed := field(1, append(append([]byte(nil), build...), field(6, field(2, placement))...))
	for _, c := range []struct {
		what     string
		data     []byte
		accepted bool
	}{
		{"overlong tag", overlong, true},
		{"merged message", twice, false},
		{"packed and single numbers", mixed, true},
	} {
		if found := v.checkSlowly(c.data); len(found) > 0 {
			t.Errorf("%s: %v", c.what, found)
		}
		if got := v.Accept(c.data); got != c.accepted {
			t.Errorf("%s: Accept says %v, want %v", c.what, got, c.accepted)
		}
	}
}

func TestValidatorIsSafeForConcurrentUse(t *testing.T) {
	v := newValidator(t)
	good := encode(t, readExample(t, "listening-desk.yaml"))
	bad := encode(t, &slipfitv1.CheckRequest{})
	bad = append(bad, 0x0a, 0x00)
	var group sync.WaitGroup
	for range 4 {
		group.Go(func() {
			for range 50 {
				if len(v.Check(good)) > 0 || len(v.Check(bad)) == 0 {
					t.Error("the verdict changes when several ask at once")
				}
			}
		})
	}
	group.Wait()
}

func TestNearest(t *testing.T) {
	names := []string{"size_mm", "thickness_mm", "max_speed_rpm", "min_speed_rpm", "curve"}
	for _, c := range [][2]string{
		{"siez_mm", "size_mm"}, {"sizeMM", "size_mm"}, {"thicknes", "thickness_mm"}, {"max_sped_rpm", "max_speed_rpm"},
		{"curves", "curve"}, {"colour", ""}, {"", ""}, {strings.Repeat("x", 100), ""},
	} {
		if got := nearest(c[0], names); got != c[1] {
			t.Errorf("nearest(%q) = %q, want %q", c[0], got, c[1])
		}
	}
}
