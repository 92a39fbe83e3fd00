package mounting

import (
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// build is a build of some items.
func build(items ...string) string { return "items:\n- " + strings.Join(items, "\n- ") + "\n" }

// arrangement is the fact in short: "layout|need,need" and seats as
// "item mount pieces".
func arrangement(layout string, seats ...string) *v1.Fact {
	out := new(v1.Arrangement)
	name, needs, _ := strings.Cut(layout, "|")
	if name != "" {
		out.Layout = &name
	}
	if needs != "" {
		out.Needs = strings.Split(needs, ",")
	}
	for _, s := range seats {
		var item, mount string
		var n uint32
		if _, err := fmt.Sscan(s, &item, &mount, &n); err != nil {
			panic("seat " + s + ": " + err.Error())
		}
		out.Seats = append(out.Seats, &v1.Seat{Item: &item, Mount: &mount, Count: &n})
	}
	return &v1.Fact{Name: proto.String(factArrangement), Content: &v1.Fact_Arrangement{Arrangement: out}}
}
