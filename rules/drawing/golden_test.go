package drawing

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

var update = flag.Bool("update", false, "write the golden drawing anew; look at it before you keep it")

// shelf is a small arrangement: a supply on a floor, with one cable to a drive.
func shelf() *v1.Arrangement {
	const solid = v1.Purpose_PURPOSE_SOLID
	return &v1.Arrangement{
		Layout: proto.String("flat"), Feasible: proto.Bool(true), MarginMm: proto.Float64(6.5),
		Boxes: []*v1.PlacedBox{
			placed("case-floor", "case", "floor", solid, 0, 0, -2, 260, 140, 0),
			placed("supply-0", "supply", "body", solid, 10, 7.5, 0, 110, 132.5, 63.5),
			placed("drive-0", "drive", "body", solid, 150, 30, 0, 250, 99.85, 7),
		},
		Gaps:  []*v1.Gap{measured("supply-0", "drive-0", v1.Axis_AXIS_X_PLUS, 40, 33.5, "plug")},
		Seats: []*v1.Seat{{Item: proto.String("supply"), Mount: proto.String("shelf")}, {Item: proto.String("drive"), Mount: proto.String("bay")}},
		Routes: []*v1.Route{{From: proto.String("supply"), To: proto.String("drive"), Connector: proto.String("sata-power"),
			NeededMm: proto.Float64(92), OrderMm: proto.Float64(100), Points: []*v1.Point{corner(110, 70, 48), corner(130, 70, 48), corner(150, 65, 4)}}},
	}
}

func TestGoldenDrawing(t *testing.T) {
	got := drawn(t, shelf(), Names{Title: "Shelf", Enclosure: "case", Parts: map[string]string{"supply": "Stillwater 450", "drive": "Slate 8000"}})
	file := filepath.Join("testdata", "shelf.svg")
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v; write it with go test -update", err)
	}
	if got != string(want) {
		t.Errorf("the drawing differs from %s (- is kept, + is drawn now; -update keeps what is drawn):\n%s", file, difference(string(want), got))
	}
}

// difference lists lines of which one text has more than the other, in order.
func difference(want, got string) string {
	counts := map[string]int{}
	for line := range strings.Lines(got) {
		counts[line]++
	}
	var out strings.Builder
	for line := range strings.Lines(want) {
		if counts[line]--; counts[line] < 0 {
			out.WriteString("- " + line)
		}
	}
	clear(counts)
	for line := range strings.Lines(want) {
		counts[line]++
	}
	for line := range strings.Lines(got) {
		if counts[line]--; counts[line] < 0 {
			out.WriteString("+ " + line)
		}
	}
	return out.String()
}
