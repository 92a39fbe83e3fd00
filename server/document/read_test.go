package document

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// laughs is a YAML document of nine levels of aliases, ten to each: written out
// it would hold 10^9 texts.
func laughs() string {
	var b strings.Builder
	b.WriteString("title: &a0 [ha]\n")
	for level := 1; level < 10; level++ {
		name := string(rune('0' + level))
		before := "*a" + string(rune('0'+level-1))
		b.WriteString("x" + name + ": &a" + name + " [" + strings.TrimSuffix(strings.Repeat(before+", ", 10), ", ") + "]\n")
	}
	return b.String()
}

// repeatedByAliases is a short document that holds many values once they are
// written out: one list, under five hundred items.
func repeatedByAliases(element, list string) string {
	elements := "&j [" + strings.TrimSuffix(strings.Repeat(element+", ", 900), ", ") + "]"
	first := "- {id: a, part: {" + list + ": " + elements + "}}\n"
	return "items:\n" + first + strings.Repeat("- {id: a, part: {"+list+": *j}}\n", 500)
}

func nested(open, close string, depth int) string {
	return strings.Repeat(open, depth) + strings.Repeat(close, depth)
}

func TestReadRefusals(t *testing.T) {
	for _, c := range refusals {
		t.Run(c.what, func(t *testing.T) {
			var build slipfitv1.Build
			err := Read(c.name, []byte(c.text), &build)
			if err == nil {
				t.Fatalf("Read takes it and gives %v", &build)
			}
			if got := err.Error(); got != c.want {
				t.Errorf("Read says\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}

func TestReadKeepsThePlaces(t *testing.T) {
	text := "build:\r\n  items:\r\n    - id: fan\r\n      part:\r\n        fan: {size_mm: 120,\r\n              maxSpeedRpm: 1500}\r\n"
	var request slipfitv1.CheckRequest
	places, err := Options{}.Read("b.yaml", []byte(text), &request)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path         string
		line, column int
	}{
		{"build.items[0].id", 3, 11},
		{"build.items[0].part.fan.size_mm", 5, 24},
		{"build.items[0].part.fan.max_speed_rpm", 6, 28},
		{"build.items[0].part.fan.curve[3].flow_m3h", 5, 14},
		{"build.items[7]", 3, 5},
		{"policy", 1, 1},
		{"", 1, 1},
	} {
		if line, column := places.Find(c.path); line != c.line || column != c.column {
			t.Errorf("Find(%q) = %d:%d, want %d:%d", c.path, line, column, c.line, c.column)
		}
	}
	v := newValidator(t)
	request.Build.Items[0].Part.GetFan().SizeMm = proto.Uint32(7)
	found := v.Validate(&request)
	places.Mark(found)
	want := "5:24: build.items[0].part.fan.size_mm: size_mm is 7; it has to be at least 20 and at most 400"
	if len(found) != 1 || found[0].String() != want {
		t.Errorf("Validate and Mark give %v, want %s", found, want)
	}
}

// TestSameMessageInEveryForm writes one question in every way that is allowed.
func TestSameMessageInEveryForm(t *testing.T) {
	want := &slipfitv1.Build{
		Id:    proto.String("b"),
		Items: []*slipfitv1.Item{{Id: proto.String("f"), Count: proto.Uint32(2), Part: &slipfitv1.Part{Name: proto.String("Öse\n"), Kind: &slipfitv1.Part_Fan{Fan: &slipfitv1.Fan{SizeMm: proto.Uint32(120), ThicknessMm: proto.Float64(25), CanStop: proto.Bool(true)}}}}},
		Arrangement: &slipfitv1.ArrangementChoice{Placements: []*slipfitv1.Placement{{
			Item: proto.String("f"), Flow: slipfitv1.Flow_FLOW_INTAKE.Enum(), Faces: slipfitv1.Axis_AXIS_Y_MINUS.Enum(), OffsetsMm: []float64{-0.5, 1000},
		}}},
	}
	forms := map[string]string{
		"proto names.json":   `{"id":"b","items":[{"id":"f","count":2,"part":{"name":"Öse\n","fan":{"size_mm":120,"thickness_mm":25,"can_stop":true}}}],"arrangement":{"placements":[{"item":"f","flow":"FLOW_INTAKE","faces":"AXIS_Y_MINUS","offsets_mm":[-0.5,1000]}]}}`,
		"lowerCamel.json":    `{"id":"b","items":[{"id":"f","count":2.0,"part":{"name":"\u00d6se\n","fan":{"sizeMm":1.2e2,"thicknessMm":25,"canStop":true}}}],"arrangement":{"placements":[{"item":"f","flow":"intake","faces":4,"offsetsMm":[-5e-1,1e3]}]}}`,
		"with null.json":     `{"$schema":"build.schema.json","id":"b","title":null,"room":null,"items":[{"id":"f","count":"2","part":{"name":"Öse\n","fan":{"sizeMm":120,"thicknessMm":"25","canStop":true}}}],"arrangement":{"placements":[{"item":"f","flow":"Intake","faces":"y_minus","offsetsMm":["-0.5",1000]}]}}`,
		"block.yaml":         "id: b\nitems:\n- id: f\n  count: 2\n  part:\n    name: |\n      Öse\n    fan: {size_mm: 120, thickness_mm: +25., can_stop: True}\narrangement:\n  placements:\n  - {item: f, flow: intake, faces: Y_MINUS, offsets_mm: [-.5, 1e3]}\n",
		"aliases.yaml":       "id: &b b\nitems:\n- &i\n  id: &f f\n  count: &two 2\n  part: {name: \"Öse\\n\", fan: {size_mm: 120, thickness_mm: 25, can_stop: true}}\narrangement: {placements: [{item: *f, flow: INTAKE, faces: axis_y_minus, offsets_mm: [-0.5, 1000]}]}\n",
		"marked.yaml":        "\ufeff%YAML 1.2\n---\n# a comment\nid: !!str b\nroom: ~\nitems: [{id: 'f', count: !!int \"2\", part: {name: \"\\xd6se\\n\", fan: {sizeMm: 120, thicknessMm: 25, canStop: TRUE}}}]\narrangement: {placements: [{item: f, flow: FLOW_INTAKE, faces: AXIS_Y_MINUS, offsetsMm: [-0.5, 1000.0]}]}\n...\n",
		"json in yaml.yaml":  `{"id":"b","items":[{"id":"f","count":2,"part":{"name":"Öse\n","fan":{"size_mm":120,"thickness_mm":25,"can_stop":true}}}],"arrangement":{"placements":[{"item":"f","flow":"FLOW_INTAKE","faces":"AXIS_Y_MINUS","offsets_mm":[-0.5,1000]}]}}`,
		"told by content":    ` {"id":"b","items":[{"id":"f","count":2,"part":{"name":"Öse\n","fan":{"size_mm":120,"thickness_mm":25,"can_stop":true}}}],"arrangement":{"placements":[{"item":"f","flow":"FLOW_INTAKE","faces":"AXIS_Y_MINUS","offsets_mm":[-0.5,1000]}]}}`,
		"binary.binpb":       string(encode(t, want)),
		"binary by content":  string(encode(t, want)),
		"windows\\name.JSON": "{\"id\":\"b\",\r\n\"items\":[{\"id\":\"f\",\"count\":2,\"part\":{\"name\":\"Öse\\n\",\"fan\":{\"size_mm\":120,\"thickness_mm\":25,\"can_stop\":true}}}],\r\n\"arrangement\":{\"placements\":[{\"item\":\"f\",\"flow\":\"FLOW_INTAKE\",\"faces\":\"AXIS_Y_MINUS\",\"offsets_mm\":[-0.5,1000]}]}}\r\n",
	}
	for name, text := range forms {
		got := &slipfitv1.Build{Title: proto.String("from before")}
		if err := Read(name, []byte(text), got); err != nil {
			t.Errorf("%s: %v", name, err)
		} else if !proto.Equal(got, want) {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
}

// TestNestingLimits goes to the limit and past it in every format.
func TestNestingLimits(t *testing.T) {
	tooDeep := "values lie deeper than 100 in each other"
	for _, c := range []struct {
		name  string
		depth int
		deep  bool
	}{
		{"d.json", 99, false}, {"d.json", 100, false}, {"d.json", 101, true}, {"d.json", 100_000, true},
		{"d.yaml", 99, false}, {"d.yaml", 100, false}, {"d.yaml", 101, true}, {"d.yaml", 9_000, true},
	} {
		err := Read(c.name, []byte(nested("[", "]", c.depth)), &slipfitv1.Build{})
		if err == nil {
			t.Fatalf("%s, depth %d: a list is taken for a build", c.name, c.depth)
		}
		if strings.Contains(err.Error(), tooDeep) != c.deep {
			t.Errorf("%s, depth %d: %v", c.name, c.depth, err)
		}
	}
	if err := Read("d.yaml", []byte(nested("[", "]", 100_000)), &slipfitv1.Build{}); err == nil {
		t.Error("100,000 lists in each other are taken")
	}
}

func FuzzReadYAML(f *testing.F) {
	seed(f, ".yaml")
	f.Fuzz(func(t *testing.T, data []byte) { readAndWriteBack(t, "f.yaml", data) })
}

func FuzzReadJSON(f *testing.F) {
	seed(f, ".json")
	f.Fuzz(func(t *testing.T, data []byte) { readAndWriteBack(t, "f.json", data) })
}

func seed(f *testing.F, extension string) {
	f.Helper()
	for _, c := range refusals {
		if filepath.Ext(c.name) == extension && len(c.text) < 4096 {
			f.Add([]byte(c.text))
		}
	}
	for _, name := range exampleFiles {
		if filepath.Ext(name) == extension {
			data, err := os.ReadFile(filepath.Join("testdata", name))
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
}
