package document

import (
	"strings"

	"google.golang.org/protobuf/encoding/protowire"
)

// refusals are bad documents, read as a Build, with the whole of what is said.
var refusals = []struct{ what, name, text, want string }{
	{"empty YAML", "e.yaml", "", "e.yaml:1:1: the document is empty"},
	{"empty JSON", "e.json", " \n", "e.json:1:1: the document is empty"},
	{"empty binary", "e.binpb", "", "e.binpb: the document is empty"},
	{"comments only", "e.yaml", "# nothing\n", "e.yaml:1:1: the document is empty"},
	{"null", "e.yaml", "~\n", "e.yaml:1:1: the document is empty"},
	{"null JSON", "e.json", "null", "e.json:1:1: the document is empty"},
	{"a list", "e.yaml", "- id: b\n", "e.yaml:1:1: a mapping with the fields of Build has to stand here; found a list"},
	{"truncated JSON", "t.json", "{\n  \"id\": \"b\",\n  \"items\": [", "t.json:3:13: the document ends where a value had to come; it may have been cut off"},
	{"truncated text", "t.json", `{"id": "b`, "t.json:1:10: the document ends where the closing quote had to come; it may have been cut off"},
	{"truncated YAML", "t.yaml", "id: b\nitems: [{id: a", "t.yaml:1: this is not YAML, here or in the next line: did not find expected ',' or '}'"},
	{"truncated binary", "t.binpb", "\x0a\x05ab", "t.binpb: id: the document ends or breaks off within this message; it may have been cut off"},
	{"trailing garbage", "t.json", "{\"id\":\"b\"}\n}", "t.json:2:1: found '}' where the end of the document had to come"},
	{"second document", "t.yaml", "id: a\n---\nid: b\n", "t.yaml:2:1: a second document starts here; this place takes one"},
	{"comment in JSON", "c.json", "{\n // no\n}", "c.json:2:2: JSON has no comments; take it out, or write the document as YAML"},
	{"trailing comma", "c.json", `{"id":"b",}`, "c.json:1:11: found '}' where a field's name in quotes had to come"},
	{"single quotes", "c.json", `{'id':"b"}`, `c.json:1:2: found '\'' where a field's name in quotes had to come`},
	{"bare word", "c.json", `{"id":none}`, "c.json:1:7: found 'n' where a value had to come"},
	{"JSON number", "n.json", `{"items":[{"count":012}]}`, "n.json:1:20: found a number that JSON does not know; write it like 12 or 0.5 or 1.5e3"},
	{"JSON number with plus", "n.json", `{"items":[{"count":+1}]}`, "n.json:1:20: found '+' where a value had to come"},
	{"JSON NaN", "n.json", `{"room":{"altitude_m":NaN}}`, "n.json:1:23: found 'N' where a value had to come"},
	{"JSON NaN as text", "n.json", `{"room":{"altitude_m":"NaN"}}`, "n.json:1:23: room.altitude_m: altitude_m has to be finite; found NaN"},
	{"too large", "n.json", `{"room":{"altitude_m":1e400}}`, "n.json:1:23: room.altitude_m: altitude_m is too large for a number of double precision"},
	{"too large in YAML", "n.yaml", "room: {altitude_m: -1e400}", "n.yaml:1:20: room.altitude_m: altitude_m is too large for a number of double precision"},
	{"NaN", "n.yaml", "room:\n  altitude_m: .nan\n", "n.yaml:2:15: room.altitude_m: altitude_m has to be finite; found .nan"},
	{"infinite", "n.yaml", "room: {altitude_m: -.inf}", "n.yaml:1:20: room.altitude_m: altitude_m has to be finite; found -.inf"},
	{"hexadecimal", "n.yaml", "room: {altitude_m: 0x1F}", "n.yaml:1:20: room.altitude_m: altitude_m is written as 0x1F; write it as a decimal number"},
	{"octal", "n.yaml", "items: [{count: 007}]", "n.yaml:1:17: items[0].count: count is written with a leading zero, which some programs read as octal; leave it out"},
	{"negative count", "n.yaml", "items: [{count: -1}]", "n.yaml:1:17: items[0].count: count is a whole number from 0 to 4294967295; found -1"},
	{"huge count", "n.yaml", "items: [{count: 4294967296}]", "n.yaml:1:17: items[0].count: count is a whole number from 0 to 4294967295; found 4294967296"},
	{"huge exponent", "n.yaml", "items: [{count: 1e999999999}]", "n.yaml:1:17: items[0].count: count is a whole number; found 1e999999999"},
	{"huge negative exponent", "n.yaml", "items: [{count: 1e-999999999999999999999}]", "n.yaml:1:17: items[0].count: count is a whole number; found 1e-999999999999999999999"},
	{"no whole number", "n.yaml", "items: [{count: 1.5}]", "n.yaml:1:17: items[0].count: count is a whole number; found 1.5"},
	{"grouped digits", "n.yaml", "items: [{count: 1_000}]", `n.yaml:1:17: items[0].count: count is a number; found the text "1_000"`},
	{"number for text", "w.yaml", "items: [{part: {board: {firmware: 1.20}}}]", `w.yaml:1:35: items[0].part.board.firmware: firmware is text; write it in quotes: "1.20"`},
	{"truth for text", "w.yaml", "title: true", `w.yaml:1:8: title: title is text; write it in quotes: "true"`},
	{"text for number", "w.yaml", "room: {altitude_m: high}", `w.yaml:1:20: room.altitude_m: altitude_m is a number; found the text "high"`},
	{"text for truth", "w.yaml", "items: [{part: {fan: {can_stop: yes}}}]", `w.yaml:1:33: items[0].part.fan.can_stop: can_stop is true or false; found the text "yes"`},
	{"mapping for text", "w.json", `{"title":{"en":"b"}}`, "w.json:1:10: title: title is text; found a mapping"},
	{"list for number", "w.yaml", "room: {altitude_m: [1]}", "w.yaml:1:20: room.altitude_m: altitude_m is a number; found a list"},
	{"mapping for list", "w.yaml", "items: {id: a}", "w.yaml:1:8: items: items is a list; found a mapping"},
	{"text for mapping", "w.yaml", "room: warm", `w.yaml:1:7: room: a mapping with the fields of Room has to stand here; found the text "warm"`},
	{"null in list", "w.yaml", "items: [~]", "w.yaml:1:9: items[0]: a list holds no null; leave the element out"},
	{"unknown field", "u.yaml", "items:\n- part:\n    fan:\n      siez_mm: 120\n", `u.yaml:4:7: items[0].part.fan: Fan has no field "siez_mm"; the nearest is "size_mm"`},
	{"unknown field far from any", "u.yaml", "colour: red\n", `u.yaml:1:1: Build has no field "colour"`},
	{"several faults", "u.yaml", "titel: x\nroom: {altitude: 3, mains_v: 230 V}\nitems: 3\n",
		"u.yaml:1:1: Build has no field \"titel\"; the nearest is \"title\"\n" +
			"u.yaml:2:8: room: Room has no field \"altitude\"; the nearest is \"altitude_m\"\n" +
			"u.yaml:2:30: room.mains_v: mains_v is a number; found the text \"230 V\"\n" +
			"u.yaml:3:8: items: items is a list; found the number 3"},
	{"empty text for a word", "w.yaml", "items: [{part: {supply: {outlets: [{faces: ''}]}}}]", `w.yaml:1:44: items[0].part.supply.outlets[0].faces: faces knows no ""; it is one of x_plus, x_minus, y_plus, y_minus, z_plus, z_minus`},
	{"duplicate key", "d.yaml", "id: a\ntitle: x\nid: b\n", `d.yaml:3:1: the field "id" stands twice; it came first in line 1`},
	{"duplicate key in JSON", "d.json", "{\"id\":\"a\",\n\"id\":\"b\"}", `d.json:2:1: the field "id" stands twice; it came first in line 1`},
	{"both names of a field", "d.json", `{"room":{"altitude_m":1,"altitudeM":2}}`, `d.json:1:25: room: the field "altitude_m" stands twice, once by each of its names`},
	{"two kinds of part", "d.yaml", "items:\n- part:\n    fan: {}\n    card: {}\n", `d.yaml:4:5: items[0].part: Part is either "fan" or "card", not both; leave one out`},
	{"misspelt enum", "m.yaml", "arrangement: {placements: [{item: a, flow: intak}]}", `m.yaml:1:44: arrangement.placements[0].flow: flow knows no "intak"; it is one of intake, exhaust; the nearest is "intake"`},
	{"enum by truth", "m.yaml", "arrangement: {placements: [{item: a, flow: true}]}", "m.yaml:1:44: arrangement.placements[0].flow: flow is one of intake, exhaust; found true"},
	{"merge key", "m.yaml", "room: &r {altitude_m: 1}\nuse:\n  <<: *r\n", "m.yaml:3:3: merge keys (<<) are not taken; write the fields out, or share a whole value by an alias"},
	{"unknown tag", "m.yaml", "title: !shout hello\n", "m.yaml:1:8: the tag !shout does not go with this value; leave it out"},
	{"binary tag", "m.yaml", "title: !!binary aGVsbG8=\n", "m.yaml:1:8: the tag !!binary does not go with this value; leave it out"},
	{"tag that does not fit", "m.yaml", "items: [{count: !!int many}]", "m.yaml:1:17: the tag !!int does not go with this value; leave it out"},
	{"key that is a list", "m.yaml", "? [a, b]\n: c\n", "m.yaml:1:3: a list or a mapping stands where a field's name has to stand"},
	{"unknown alias", "m.yaml", "title: *nowhere\n", "m.yaml: this is not YAML: unknown anchor 'nowhere' referenced"},
	{"alias in itself", "m.yaml", "items: &i [*i]\n", "m.yaml:1:12: the alias *i lies within what it stands for; write the value out"},
	{"billion laughs", "l.yaml", laughs(),
		"l.yaml:1:8: title: title is text; found a list\n" +
			"l.yaml:2:1: Build has no field \"x1\"\n" +
			"l.yaml:3:1: Build has no field \"x2\"\n" +
			"l.yaml:4:1: Build has no field \"x3\"\n" +
			"l.yaml:5:1: Build has no field \"x4\"\n" +
			"l.yaml:6:1: Build has no field \"x5\"\n" +
			"l.yaml:7:1: Build has no field \"x6\"\n" +
			"l.yaml:8:1: Build has no field \"x7\"\n" +
			"l.yaml:9:1: Build has no field \"x8\"\n" +
			"l.yaml:10:1: Build has no field \"x9\""},
	{"messages by aliases", "l.yaml", repeatedByAliases("{count: 1}", "joints"), "l.yaml:2:1866: items[22].part.joints[153]: the document holds more than 20000 messages once its aliases are written out; use fewer aliases or split it"},
	{"values by aliases", "l.yaml", strings.ReplaceAll(repeatedByAliases("x", "accessory: {provides"), "}}", "}}}"), "l.yaml:2:2708: items[441].part.accessory.provides[888]: the document holds more than 400000 values once its aliases are written out; use fewer aliases or split it"},
	{"a million brackets", "l.json", strings.Repeat("[", 1_000_000), "l.json:1:101: values lie deeper than 100 in each other"},
	{"more values than may be", "l.json", `{"items":[` + strings.Repeat("1,", MaxNodes) + `1]}`, "l.json:1:800007: the document holds more than 400000 values; split it"},
	{"longer than may be", "l.json", `{"title":"` + strings.Repeat("x", MaxText) + `"}`, "l.json: the document is 2097164 bytes long; one document may have 2097152, so split it or send it as binary protobuf"},
	{"longer than may be encoded", "l.json", `{"title":"` + strings.Repeat("x", MaxEncoded) + `"}`, "l.json: the document is 1048580 bytes long once it is encoded; it may have 1048576, so leave something out"},
	{"longer than may be in binary", "l.binpb", strings.Repeat("x", MaxEncoded+1), "l.binpb: the document is 1048577 bytes long; it may have 1048576, so leave something out"},
	{"more messages than may be", "l.binpb", manyOpenings(), "l.binpb: items[9].part.chassis.panels[29].openings[3]: the document holds more than 20000 messages; leave something out"},
	{"a list far too long in binary", "l.binpb", strings.Repeat("\x1a\x00", MaxMessages), "l.binpb: items: the list holds more than the 64 entries it may have; leave something out"},
	{"no UTF-8", "x.yaml", "id: b\ntitle: \"ab\xff\"\n", "x.yaml:2:11: byte 0xff is no UTF-8; save the text as UTF-8"},
	{"no UTF-8 in JSON", "x.json", "{\"title\":\"\xc3\x28\"}", "x.json:1:11: byte 0xc3 is no UTF-8; save the text as UTF-8"},
	{"no UTF-8 by escape", "x.json", `{"title":"\ud800"}`, `x.json:1:11: \ud800 is half of a surrogate pair; its other half has to stand beside it`},
	{"no UTF-8 in binary", "x.binpb", "\x12\x02\xc3\x28", "x.binpb: title: title is no UTF-8; send text as UTF-8"},
	{"UTF-16", "x.yaml", "\xff\xfei\x00d\x00", "x.yaml:1:1: the text is UTF-16; save it as UTF-8"},
	{"control character", "x.json", "{\"title\":\"a\tb\"}", `x.json:1:12: control character 0x09 stands in a text; write it as an escape like \n or \u0009`},
	{"unknown escape", "x.json", `{"title":"\é"}`, `x.json:1:11: JSON knows no escape \é`},
	{"short escape", "x.json", `{"title":"\u12"}`, `x.json:1:11: four hexadecimal digits have to follow \u`},
	{"tab in YAML", "x.yaml", "room:\n\taltitude_m: 1\n", "x.yaml:2:1: the line is indented with a tab; YAML takes spaces only"},
	{"bad YAML", "x.yaml", "id: b\ntitle: a: b\n", "x.yaml:2: this is not YAML, here or in the next line: mapping values are not allowed in this context"},
	{"reference without a resolver", "r.yaml", "items:\n- part: fans.yaml#stille-120\n", `r.yaml:2:9: items[0].part: the part is a reference, "fans.yaml#stille-120", and references are not taken here; write the part out`},
	{"unknown field in binary", "b.binpb", "\x1a\x05\x12\x03\xf8\x07\x01", "b.binpb: items[0].part: Part has no field number 127; the sender may speak a newer version of the contract"},
	{"wrong wire type in binary", "b.binpb", "\x1a\x02\x08\x01", "b.binpb: items[0].id: the field is encoded with wire type 0, which is not that of the type string"},
	{"group in binary", "b.binpb", "\x1b\x1c", "b.binpb: items: the field is encoded with wire type 3, which is not that of the message Item"},
	{"enum out of range in binary", "b.binpb", "\x32\x0a\x12\x08\x28\xff\xff\xff\xff\xff\xff\x01", "b.binpb: arrangement.placements[0].flow: 8796093022207 is no value of Flow"},
}

// manyOpenings are ten items, each with 64 panels of 32 openings: every list is
// within its rule, and all together are too many.
func manyOpenings() string {
	wrap := func(field protowire.Number, content string) string {
		return string(protowire.AppendString(protowire.AppendTag(nil, field, protowire.BytesType), content))
	}
	panel := wrap(8, strings.Repeat(wrap(4, ""), 32))
	return strings.Repeat(wrap(3, wrap(2, wrap(10, strings.Repeat(panel, 64)))), 10)
}
