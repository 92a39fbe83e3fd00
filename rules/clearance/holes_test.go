package clearance

import (
	"bytes"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// richBuild is the cutting desk with a loop, a loose radiator, mounts and fixed
// choices besides, so that every branch of the rules has something to read.
func richBuild(t testing.TB) *v1.Build {
	return kittest.Build(t, cuttingDesk+`
- {id: loop, part: {liquid_loop: {radiator: {nominal_mm: 240, thickness_mm: 27, length_mm: 270, thread: M3, screw_depth_mm: 4}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}], block_height_mm: 50, brackets: [{sockets: [lga1700], needs: bracket-lga1700}]}, kit: {fasteners: [{kind: screw, thread: M3, length_mm: 30, count: 8, purpose: radiator}]}}}
- {id: radiator, part: {radiator: {nominal_mm: 280, thickness_mm: 30, length_mm: 310, screw_depth_mm: 4}}}
- id: other-case
  part:
    chassis:
      layouts:
      - id: only
        mounts:
        - {id: tray, kind: MOUNT_KIND_BOARD, form_factors: [mini-itx], joints: [{purpose: board, count: 4, thread: M3, enough: 3}]}
        - {id: shelf, kind: MOUNT_KIND_SUPPLY, form_factors: [flex-atx], needs: [supply-bracket]}
        - {id: roof, kind: MOUNT_KIND_RADIATOR, sizes_mm: [240], excludes: [side]}
        - {id: side, kind: MOUNT_KIND_FAN, sizes_mm: [140], count: 2, joints: [{purpose: fan, count: 4, covered: 2}]}
        - {id: cage, kind: MOUNT_KIND_DRIVE, form_factors: [2.5-inch]}
arrangement: {placements: [{item: side-fans, mount: side}, {item: radiator, mount: roof}]}
`)
}

// Documents come with holes. Whatever is left out, no rule breaks, and the same
// document gives the same findings again.
func TestHolesInTheDocumentBreakNothing(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	whole := richBuild(t)
	rapid.Check(t, func(t *rapid.T) {
		build := proto.Clone(whole).(*v1.Build)
		if n := len(build.Items); rapid.Bool().Draw(t, "other enclosure") {
			build.Items[0], build.Items[n-1] = build.Items[n-1], build.Items[0]
		}
		share := rapid.IntRange(0, 30).Draw(t, "share")
		kittest.Punch(t, build.ProtoReflect(), share)
		check, err := proto.Marshal(&v1.CheckRequest{Build: build})
		if err != nil {
			t.Fatal(err)
		}
		var first, second kit.Outcome
		for _, out := range []*kit.Outcome{&first, &second} {
			if err := e.Evaluate(check, nil, out); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(first.Findings, second.Findings) {
			t.Fatal("the same document gave other findings")
		}
		var response v1.CheckResponse
		if err := proto.Unmarshal(first.Findings, &response); err != nil {
			t.Fatal(err)
		}
		for _, f := range response.Findings {
			if err := kittest.Sound(f); err != nil {
				t.Fatal(err)
			}
		}
	})
}
