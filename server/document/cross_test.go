package document

import (
	"slices"
	"strings"
	"testing"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// faulty are questions that can be read and are wrong, with the whole of what is
// said about them. A case must not be accepted by the walk either.
var faulty = []struct {
	what, text string
	want       []string
}{
	{"nothing", `policy: []`, []string{
		`1:1: build: build is missing; it is required here`,
	}},
	{"no items", `build: {id: b}`, []string{
		`1:8: build.items: items is empty; give at least 1`,
	}},
	{"no kind", `build: {items: [{id: a, part: {name: x}}]}`, []string{
		`1:31: build.items[0].part: nothing says what it is; give one of chassis, board, processor, air_cooler, liquid_loop, radiator, memory, card, supply, drive, fan, cable, riser, accessory, fastener_kit`,
	}},
	{"missing fields", `build: {items: [{count: 2}]}`, []string{
		`1:17: build.items[0].id: id is missing; it is required here`,
		`1:17: build.items[0].part: part is missing; it is required here`,
	}},
	{"ids", `build: {items: [{id: a, part: {fan: {}}}, {id: B_1, part: {fan: {}}}, {id: a, part: {fan: {}}}]}`, []string{
		`1:48: build.items[1].id: id is "B_1"; use lower-case letters, digits and hyphens, a letter or digit first`,
		`1:76: build.items[2].id: id "a" is that of items[0] already; give each its own`,
	}},
	{"numbers", `build: {items: [{id: a, count: 65, part: {mass_g: 0, fan: {size_mm: 19, thickness_mm: -1, max_speed_rpm: 30000.5}}}], room: {temperature_c: 61, mains_v: 89.9}}`, []string{
		`1:51: build.items[0].part.mass_g: mass_g is 0; it has to be above 0 and at most 100000`,
		`1:69: build.items[0].part.fan.size_mm: size_mm is 19; it has to be at least 20 and at most 400`,
		`1:87: build.items[0].part.fan.thickness_mm: thickness_mm is -1; it has to be above 0 and at most 100`,
		`1:106: build.items[0].part.fan.max_speed_rpm: max_speed_rpm is 30000.5; it has to be above 0 and at most 30000`,
		`1:32: build.items[0].count: count is 65; it has to be at least 1 and at most 64`,
		`1:141: build.room.temperature_c: temperature_c is 61; it has to be at least -40 and at most 60`,
		`1:154: build.room.mains_v: mains_v is 89.9; it has to be at least 90 and at most 264`,
	}},
	{"efficiency of one", `build: {items: [{id: a, part: {supply: {efficiencies: [{load_share: 0.5, efficiency: 1}]}}}]}`, []string{
		`1:86: build.items[0].part.supply.efficiencies[0].efficiency: efficiency is 1; it has to be above 0 and below 1`,
	}},
	{"only an upper bound", `build: {items: [{id: a, part: {board: {sata_ports: 33}}}]}`, []string{
		`1:52: build.items[0].part.board.sata_ports: sata_ports is 33; it has to be at most 32`,
	}},
	{"texts", `build: {title: "` + strings.Repeat("é", 201) + `", items: [{id: a, part: {price: {amount: 1, currency: euro}, board: {socket: "", m2_slots: [{id: m, sizes: ["228", "2280"]}]}}}]}`, []string{
		`1:16: build.title: title is 201 characters long; it may have 200`,
		`1:273: build.items[0].part.price.currency: currency is "euro"; give the currency's code of three letters, such as "EUR" (ISO 4217)`,
		`1:296: build.items[0].part.board.socket: socket is empty; fill it in or leave it out`,
		`1:327: build.items[0].part.board.m2_slots[0].sizes[0]: sizes is "228"; give the size code of four or five digits, such as "2280"`,
	}},
	{"patterns", `build: {items: [{id: a, part: {price: {amount: 1, currency: euro}, drive: {m2_size: "228"}, figures: [{fields: [drive.m2_size], read_on: 1.3.2026}]}}]}`, []string{
		`1:61: build.items[0].part.price.currency: currency is "euro"; give the currency's code of three letters, such as "EUR" (ISO 4217)`,
		`1:85: build.items[0].part.drive.m2_size: m2_size is "228"; give the size code of four or five digits, such as "2280"`,
		`1:138: build.items[0].part.figures[0].read_on: read_on is "1.3.2026"; give a day of the calendar, such as "2026-03-01" (ISO 8601)`,
	}},
	{"enum", `build: {items: [{id: a, part: {fan: {}}}], arrangement: {placements: [{item: a, flow: 9, side: top}]}}`, []string{
		`1:87: build.arrangement.placements[0].flow: flow is 9, which is no value of Flow; it is one of intake, exhaust`,
		`1:96: build.arrangement.placements[0].side: side is "top"; it has to be one of inner, outer`,
	}},
	{"two chassis", `build: {items: [{id: a, count: 2, part: {chassis: {}}}, {id: b, part: {chassis: {}}}]}`, []string{
		`1:32: build.items[0].count: a build has one chassis; count is 2, make it 1 or leave it out`,
		`1:57: build.items[1]: a build has one chassis, and items[0] is one already; take one of the two out`,
	}},
	{"references", `build: {items: [{id: fan, part: {fan: {}}}], use: {loads: [{item: fna, power_w: 3}], fans: [{item: fan, speed_rpm: 1}, {item: fan, speed_rpm: 2}]}, arrangement: {layout: low, placements: [{item: zzz, mount: rear}]}}`, []string{
		`1:67: build.use.loads[0].item: the build has no item "fna"; the nearest is "fan"`,
		`1:127: build.use.fans[1].item: item "fan" is that of fans[0] already; give each its own`,
		`1:196: build.arrangement.placements[0].item: the build has no item "zzz"; name one that is there or leave this out`,
		`1:171: build.arrangement.layout: the build has no chassis to look for the layout "low" in; add one or leave this out`,
		`1:208: build.arrangement.placements[0].mount: the build has no chassis to look for the mount "rear" in; add one or leave this out`,
	}},
	{"layouts and mounts", `build:
  items:
  - id: case
    part:
      chassis:
        limits: {fans: [{mount: rear}, {mount: rear}], drives: [{mount: rear}]}
        panels: [{id: left, extent: {}}, {id: left, extent: {}}]
        layouts:
        - id: low
          mounts:
          - {id: m, kind: fan, excludes: [m, n, k], panel: lift, poses: [{x_points: z_minus}, {z_points: x_plus}, {x_points: y_plus, z_points: y_minus}, {x_points: axis_unspecified}]}
          - {id: n, kind: fan}
          - {id: m, kind: card}
        - id: low
        - id: high
          mounts: [{id: h, kind: fan}]
  arrangement:
    layout: lo
    placements: [{item: case, mount: h}, {item: case, mount: rear}]
`, []string{
		`14:15: build.items[0].part.chassis.layouts[1].id: id "low" is that of layouts[0] already; give each its own`,
		`7:47: build.items[0].part.chassis.panels[1].id: id "left" is that of panels[0] already; give each its own`,
		`6:48: build.items[0].part.chassis.limits.fans[1].mount: mount "rear" is that of fans[0] already; give each its own`,
		`13:18: build.items[0].part.chassis.layouts[0].mounts[2].id: id "m" is that of mounts[0] already; give each its own`,
		`11:43: build.items[0].part.chassis.layouts[0].mounts[0].excludes[0]: the mount "m" excludes itself; take its name out`,
		`11:49: build.items[0].part.chassis.layouts[0].mounts[0].excludes[2]: the layout has no mount "k"; the nearest is "m"`,
		`11:60: build.items[0].part.chassis.layouts[0].mounts[0].panel: the chassis has no panel "lift"; the nearest is "left"`,
		`11:74: build.items[0].part.chassis.layouts[0].mounts[0].poses[0]: x_points and z_points lie along the same axis; they have to be at right angles (absent, x_points is x_plus and z_points is z_plus)`,
		`11:95: build.items[0].part.chassis.layouts[0].mounts[0].poses[1]: x_points and z_points lie along the same axis; they have to be at right angles (absent, x_points is x_plus and z_points is z_plus)`,
		`11:115: build.items[0].part.chassis.layouts[0].mounts[0].poses[2]: x_points and z_points lie along the same axis; they have to be at right angles (absent, x_points is x_plus and z_points is z_plus)`,
		`18:13: build.arrangement.layout: the chassis has no layout "lo"; the nearest is "low"`,
		`19:38: build.arrangement.placements[0].mount: the chassis has no mount "h"; name one that is there or leave this out`,
	}},
	{"mount of another layout", `build: {items: [{id: case, part: {chassis: {layouts: [{id: a, mounts: [{id: left, kind: fan, poses: [{}, {}]}]}, {id: b}]}}}], arrangement: {layout: b, placements: [{item: case, mount: left}]}}`, []string{
		`1:186: build.arrangement.placements[0].mount: the chassis has no mount "left"; name one that is there or leave this out`,
	}},
	{"pose that is not there", `build: {items: [{id: case, part: {chassis: {layouts: [{id: a, mounts: [{id: left, kind: fan, poses: [{}, {}]}]}]}}}], arrangement: {placements: [{item: case, mount: left, pose: 2}]}}`, []string{
		`1:178: build.arrangement.placements[0].pose: the mount "left" has 2 poses, counted from 0; pose is 2`,
	}},
	{"more pieces than there are", `build: {items: [{id: f, count: 3, part: {fan: {}}}, {id: g, part: {fan: {}}}], arrangement: {placements: [{item: f, count: 2}, {item: f, count: 2}, {item: g}, {item: g, count: 1}]}}`, []string{
		`1:145: build.arrangement.placements[1].count: the placements of "f" count more pieces than the build has, by 1; lower this count, or raise that of the item`,
	}},
	{"curves", `build:
  items:
  - {id: f, part: {fan: {curve: [{flow_m3h: 0, pressure_pa: 9}, {flow_m3h: 50, pressure_pa: 10}, {flow_m3h: 50, pressure_pa: 5}]}}}
  - {id: r, part: {radiator: {core: [{flow_m3h: 9, pressure_pa: 9}, {flow_m3h: 50, pressure_pa: 8}, {flow_m3h: 20, pressure_pa: 50}]}}}
  - {id: c, part: {air_cooler: {fans: [{fan: {curve: [{flow_m3h: 1, pressure_pa: 9}, {flow_m3h: 0, pressure_pa: 9}]}}]}}}
  - {id: s, part: {supply: {efficiencies: [{load_share: 0.5, efficiency: 0.9}, {load_share: 0.5, efficiency: 0.8, mains_v: 115}, {load_share: 0.2, efficiency: 0.8, mains_v: 115}, {load_share: 0.5, efficiency: 0.9}], deratings: [{air_c: 40, share: 0.9}, {air_c: 50, share: 1}, {air_c: 50, share: 0.7}]}}}
`, []string{
		`3:65: build.items[0].part.fan.curve[1]: pressure_pa rises from 9 to 10 while the flow rises; a fan's pressure falls with its flow, so look for swapped or mistyped figures`,
		`3:98: build.items[0].part.fan.curve[2]: flow_m3h is 50 after 50; put the points of the curve in the order of rising flow, each flow once`,
		`4:69: build.items[1].part.radiator.core[1]: pressure_pa falls from 9 to 8 while the flow rises; a core takes more pressure at more flow, so look for swapped or mistyped figures`,
		`4:101: build.items[1].part.radiator.core[2]: flow_m3h is 20 after 50; put the points in the order of rising flow, each flow once`,
		`5:86: build.items[2].part.air_cooler.fans[0].fan.curve[1]: flow_m3h is 0 after 1; put the points of the curve in the order of rising flow, each flow once`,
		`6:130: build.items[3].part.supply.efficiencies[2]: load_share is 0.2 after 0.5 at 115 V; put the points of one mains voltage in the order of rising load, each load once`,
		`6:180: build.items[3].part.supply.efficiencies[3]: load_share is 0.5 after 0.5; put the points of one mains voltage in the order of rising load, each load once`,
		`6:254: build.items[3].part.supply.deratings[1]: share rises from 0.9 to 1 with the temperature; a supply's rating falls with it, so look for swapped or mistyped figures`,
		`6:277: build.items[3].part.supply.deratings[2]: air_c is 50 after 50; put the points in the order of rising temperature, each temperature once`,
	}},
	{"figures", `build: {items: [{id: f, part: {fan: {}, figures: [{fields: [fan.siez_mm, supply.rated_w, fan.size_mm.x, "fan.size_mm[0]", "fan.curve[x]", id, "fan.curve[3].flow_m3h"], read_on: "2026-02-30"}]}}]}`, []string{
		`1:61: build.items[0].part.figures[0].fields[0]: "fan.siez_mm" leads to no field: Fan has no field "siez_mm"; the nearest is "size_mm"`,
		`1:74: build.items[0].part.figures[0].fields[1]: "supply.rated_w" speaks of a field of supply, but the part is fan; name its own fields`,
		`1:90: build.items[0].part.figures[0].fields[2]: "fan.size_mm.x" leads on behind a field that has no fields of its own; name the field itself`,
		`1:105: build.items[0].part.figures[0].fields[3]: "fan.size_mm[0]" has a place in brackets where none goes; write the place of an element of a list, as in supply.rails[0]`,
		`1:123: build.items[0].part.figures[0].fields[4]: "fan.curve[x]" has a place in brackets where none goes; write the place of an element of a list, as in supply.rails[0]`,
		`1:178: build.items[0].part.figures[0].read_on: read_on is "2026-02-30", which is no day of the calendar; correct it`,
	}},
	{"policy and packs", `{build: {items: [{id: f, part: {fan: {}}}]}, policy: [{parameter: p, value: 1}, {parameter: p, value: 2}], packs: [{name: Power}, {name: air}, {name: air}]}`, []string{
		`1:123: packs[0].name: name is "Power"; use lower-case letters, digits and hyphens, a letter first`,
		`1:93: policy[1].parameter: parameter "p" is that of policy[0] already; give each its own`,
		`1:151: packs[2].name: name "air" is that of packs[1] already; give each its own`,
	}},
	{"too many", `build: {items: [{id: f, part: {fan: {}}}], arrangement: {placements: [{item: f, offsets_mm: [1, 2, 3, 4]}]}}`, []string{
		`1:93: build.arrangement.placements[0].offsets_mm: offsets_mm has 4 elements; it may have 3`,
	}},
}

func TestFaultyQuestions(t *testing.T) {
	v := newValidator(t)
	for _, c := range faulty {
		var request slipfitv1.CheckRequest
		places, err := Options{}.Read("q.yaml", []byte(c.text), &request)
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		found := v.Validate(&request)
		places.Mark(found)
		var got []string
		for _, violation := range found {
			got = append(got, violation.String())
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s:\n%s\nwant\n%s", c.what, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
		encoded := encode(t, &request)
		if v.Accept(encoded) {
			t.Errorf("%s: the walk accepts it", c.what)
		}
		if len(encoded) > 0 && len(v.Check(encoded)) != len(found) {
			t.Errorf("%s: Check finds %v", c.what, v.Check(encoded))
		}
	}
}
