package trial_test

import (
	"errors"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	"slipfit.example/clients/trial"
	v1 "slipfit.example/proto/slipfit/v1"
)

func fan(id string, size uint32, thickness float64) *v1.Item {
	return &v1.Item{Id: &id, Part: &v1.Part{
		Id: proto.String("part-" + id), Name: proto.String("Fan " + id),
		Kind: &v1.Part_Fan{Fan: &v1.Fan{SizeMm: &size, ThicknessMm: &thickness}},
	}}
}

func drawBuild(t *rapid.T) *v1.Build {
	build := &v1.Build{Id: proto.String("b"), Title: proto.String("a build")}
	for i := range rapid.IntRange(1, 12).Draw(t, "items") {
		build.Items = append(build.Items, fan(string(rune('a'+i)), rapid.SampledFrom([]uint32{92, 120, 140}).Draw(t, "size"), 25))
	}
	return build
}

// largeFans is how many items are fans of 140 mm.
func largeFans(b *v1.Build) (n int) {
	for _, item := range b.GetItems() {
		if item.GetPart().GetFan().GetSizeMm() == 140 {
			n++
		}
	}
	return n
}

// What is left keeps what matters, and loses it with every single removal: each is
// tried.
func TestReduceIsMinimal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		build := drawBuild(t)
		whole := proto.CloneOf(build)
		want := rapid.IntRange(0, largeFans(build)).Draw(t, "want")
		keeps := func(b *v1.Build) (bool, error) { return largeFans(b) >= want, nil }
		least, minimal, err := trial.Reduce(build, keeps, 10_000)
		if err != nil || !minimal {
			t.Fatalf("minimal %v, error %v", minimal, err)
		}
		if !proto.Equal(build, whole) {
			t.Fatal("the build itself was changed")
		}
		if largeFans(least) != want || len(least.Items) != want {
			t.Fatalf("%d items with %d large fans are left of which %d are wanted", len(least.Items), largeFans(least), want)
		}
		for _, path := range trial.Sites(least) {
			if kept, _ := keeps(trial.Without(least, path)); kept {
				t.Fatalf("%s could still be taken out of %v", path, least)
			}
		}
	})
}

func TestReduceStopsAtItsBudgetAndAtErrors(t *testing.T) {
	build := &v1.Build{Items: []*v1.Item{fan("a", 140, 25), fan("b", 140, 25), fan("c", 140, 25)}}
	asked := 0
	least, minimal, err := trial.Reduce(build, func(*v1.Build) (bool, error) { asked++; return false, nil }, 5)
	if err != nil || minimal || asked != 5 || !proto.Equal(least, build) {
		t.Errorf("asked %d times, minimal %v, error %v", asked, minimal, err)
	}
	away := errors.New("away")
	if _, _, err := trial.Reduce(build, func(*v1.Build) (bool, error) { return false, away }, 99); !errors.Is(err, away) {
		t.Errorf("error %v", err)
	}
}

func TestSitesAndWithoutNameTheSamePlaces(t *testing.T) {
	build := &v1.Build{Items: []*v1.Item{fan("a", 120, 25), fan("b", 140, 25)}}
	sites := trial.Sites(build)
	for _, want := range []string{"items[0]", "items[1].id", "items[1].part.fan.size_mm"} {
		if !slices.Contains(sites, want) {
			t.Errorf("%s is no place in %v", want, sites)
		}
	}
	got := trial.Without(build, "items[0]", "items[1].part.fan.thickness_mm")
	want := &v1.Build{Items: []*v1.Item{fan("b", 140, 25)}}
	want.Items[0].Part.GetFan().ThicknessMm = nil
	if !proto.Equal(got, want) {
		t.Errorf("left is %v, want %v", got, want)
	}
}
