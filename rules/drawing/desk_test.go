package drawing

import (
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// placed is a box of the test's arrangements: where from, where to.
func placed(shape, item, body string, purpose v1.Purpose, x0, y0, z0, x1, y1, z1 float64) *v1.PlacedBox {
	return &v1.PlacedBox{
		Shape: &shape, Item: &item, Body: &body, Purpose: &purpose,
		Extent: &v1.Extent{
			Corner:  &v1.Point{XMm: &x0, YMm: &y0, ZMm: &z0},
			SizeXMm: proto.Float64(x1 - x0), SizeYMm: proto.Float64(y1 - y0), SizeZMm: proto.Float64(z1 - z0),
		},
	}
}

func open(share float64, b *v1.PlacedBox) *v1.PlacedBox {
	b.OpenShare = &share
	return b
}

func measured(first, second string, axis v1.Axis, mm, required float64, reason string) *v1.Gap {
	return &v1.Gap{
		First: &first, Second: &second, Axis: &axis, NominalMm: &mm, RequiredMm: &required, Reason: &reason,
		LowMm: proto.Float64(mm - 1), HighMm: proto.Float64(mm + 1),
	}
}

func corner(x, y, z float64) *v1.Point { return &v1.Point{XMm: &x, YMm: &y, ZMm: &z} }

// desk is the cutting desk of the archive: an enclosure of 18 litres with card,
// cooler and supply. The card sits 4 mm in the bottom fans, and one cable is too
// short.
func desk() *v1.Arrangement {
	const (
		solid  = v1.Purpose_PURPOSE_SOLID
		plug   = v1.Purpose_PURPOSE_PLUG
		breath = v1.Purpose_PURPOSE_BREATH
	)
	yes := false
	return &v1.Arrangement{
		Layout: proto.String("card-below"), Feasible: &yes, MarginMm: proto.Float64(-4),
		Boxes: []*v1.PlacedBox{
			placed("enclosure-rear", "enclosure", "rear", solid, -1.2, 0, 0, 0, 187, 268),
			placed("enclosure-front", "enclosure", "front", solid, 344, 0, 0, 346.8, 187, 268),
			placed("enclosure-top", "enclosure", "top", solid, 0, 0, 268, 344, 187, 270),
			placed("enclosure-bottom", "enclosure", "bottom", solid, 0, 0, -2, 344, 187, 0),
			open(0.45, placed("enclosure-bottom-fan-field", "enclosure", "bottom, fan field", solid, 30, 22, -2, 314, 166, 0)),
			placed("enclosure-right", "enclosure", "right", solid, 0, -1.5, 0, 344, 0, 268),
			placed("enclosure-left", "enclosure", "left", solid, 0, 187, 0, 344, 188.5, 268),
			placed("board-0", "board", "board", solid, 2.1, 175.6, 92, 172.1, 177.2, 262),
			placed("board-0-sockets", "board", "rear connectors", solid, 1, 138, 110, 20, 175.6, 255),
			placed("cooler-0-base", "cooler", "base", solid, 60, 150, 174, 100, 168, 214),
			placed("cooler-0-fins", "cooler", "fins", solid, 35, 13, 134, 87, 150, 254),
			open(0.9, placed("cooler-0-fan", "cooler", "fan", solid, 87, 20, 134, 112, 140, 254)),
			placed("memory-0", "memory", "modules", solid, 118, 143, 126, 132, 175, 258),
			placed("card-0", "card", "card", solid, 0, 35, 21, 304, 172, 82),
			placed("card-0-plug", "card", "plug", plug, 150, 0, 40, 172, 35, 60),
			placed("card-0-breath", "card", "fans", breath, 20, 45, 11, 290, 165, 21),
			placed("supply-0", "supply", "body", solid, 278.5, 31, 166, 342, 156, 266),
			placed("supply-0-plugs", "supply", "plugs", plug, 278.5, 31, 131, 342, 156, 166),
			open(0.8, placed("bottom-fans-0", "bottom-fans", "frame", solid, 32, 23.5, 0, 152, 143.5, 25)),
			open(0.8, placed("bottom-fans-1", "bottom-fans", "frame", solid, 152, 23.5, 0, 272, 143.5, 25)),
			open(0.8, placed("rear-fan-0", "rear-fan", "frame", solid, 0, 8, 140, 25, 128, 260)),
		},
		Gaps: []*v1.Gap{
			measured("card-0", "bottom-fans-0", v1.Axis_AXIS_Z_MINUS, -4, 10, "airflow"),
			measured("cooler-0-fins", "rear-fan-0", v1.Axis_AXIS_X_MINUS, 10, 1, "touch"),
			measured("cooler-0-fins", "enclosure-right", v1.Axis_AXIS_Y_MINUS, 13, 2, "vibration"),
			measured("card-0", "enclosure-front", v1.Axis_AXIS_X_PLUS, 40, 5, "hand"),
			measured("cooler-0-fan", "memory-0", v1.Axis_AXIS_X_PLUS, 6, 1, "touch"),
			measured("supply-0-plugs", "card-0", v1.Axis_AXIS_Z_MINUS, 49, 60, "plug"),
		},
		Seats: []*v1.Seat{
			{Item: proto.String("board"), Mount: proto.String("board"), OffsetsMm: []float64{20.32}},
			{Item: proto.String("bottom-fans"), Mount: proto.String("fans-bottom"), Count: proto.Uint32(2)},
			{Item: proto.String("supply"), Mount: proto.String("supply-front")},
		},
		Routes: []*v1.Route{
			{From: proto.String("supply"), To: proto.String("board"), Connector: proto.String("main-24"),
				NeededMm: proto.Float64(243), OrderMm: proto.Float64(300), HaveMm: proto.Float64(300),
				Points: []*v1.Point{corner(320, 60, 166), corner(320, 60, 140), corner(180, 120, 140), corner(165, 150, 210), corner(165, 163, 210)}},
			{From: proto.String("supply"), To: proto.String("board"), Connector: proto.String("cpu-8"), Cable: proto.String("processor-cable"),
				NeededMm: proto.Float64(520), OrderMm: proto.Float64(550), HaveMm: proto.Float64(400),
				Points: []*v1.Point{corner(320, 110, 166), corner(320, 110, 130), corner(140, 20, 110), corner(110, 10, 258), corner(50, 163, 258)}},
		},
	}
}

// deskNames are what its parts are called.
func deskNames() Names {
	return Names{Title: "Cutting desk", Layout: "Card below the board", Enclosure: "enclosure", Parts: map[string]string{
		"enclosure": "Reed Bed", "board": "Sedge One", "cooler": "Bulrush 155", "memory": "Duckweed 2 x 32", "card": "Marsh 320",
		"supply": "Stillwater 850", "bottom-fans": "Heron 120", "rear-fan": "Heron 120", "processor-cable": "Thread 400",
	}}
}
