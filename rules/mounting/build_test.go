package mounting

import (
	"fmt"
	"strings"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// build is a build of some items.
func build(items ...string) string { return "items:\n- " + strings.Join(items, "\n- ") + "\n" }

// arrangement is the fact in short: "layout|need,need" and seats as
// "item mount pieces".
func arrangement(layout string, seats ...string) *packv1.Arrangement {
	out := new(packv1.Arrangement)
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
		out.Seats = append(out.Seats, &packv1.Seat{Item: &item, Mount: &mount, Count: &n})
	}
	return out
}
