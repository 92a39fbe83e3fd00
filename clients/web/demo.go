package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"regexp"
	"strings"
	"sync"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/demo"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// demoData is the demo's catalogue as the shop loads it.
type demoData struct {
	// builds is a list of objects with "build", "shows" and "expect".
	builds []byte
	// parts is a list of parts.
	parts []byte
}

// shownBuild is one build with what the demo's own words say of it.
type shownBuild struct {
	Build  json.RawMessage `json:"build"`
	Shows  string          `json:"shows"`
	Expect string          `json:"expect"`
}

// readDemo reads the demo's documents once.
var readDemo = sync.OnceValues(func() (*demoData, error) {
	parts, err := readParts()
	if err != nil {
		return nil, err
	}
	builds, err := readBuilds(parts)
	if err != nil {
		return nil, err
	}
	list := make([]json.RawMessage, 0, len(parts))
	for _, p := range parts {
		encoded, err := encode(p.part)
		if err != nil {
			return nil, fmt.Errorf("the part %q of the demo cannot be written: %w", p.part.GetId(), err)
		}
		list = append(list, encoded)
	}
	data := &demoData{}
	if data.parts, err = json.Marshal(list); err != nil {
		return nil, err
	}
	data.builds, err = json.Marshal(builds)
	return data, err
})

// placedPart is a part and the reference that builds name it by.
type placedPart struct {
	ref  string
	part *v1.Part
}

func readParts() ([]placedPart, error) {
	names, err := fs.Glob(demo.FS, "parts/*.yaml")
	if err != nil {
		return nil, err
	}
	var out []placedPart
	for _, name := range names {
		data, err := demo.FS.ReadFile(name)
		if err != nil {
			return nil, err
		}
		for e := range document.ReadAll(name, bytes.NewReader(data), document.Options{}, func() *v1.Part { return new(v1.Part) }) {
			if e.Err != nil {
				return nil, fmt.Errorf("the demo's parts cannot be read: %w", e.Err)
			}
			out = append(out, placedPart{"../" + name + "#" + e.Message.GetId(), e.Message})
		}
	}
	return out, nil
}

func readBuilds(parts []placedPart) ([]shownBuild, error) {
	byRef := map[string]*v1.Part{}
	for _, p := range parts {
		byRef[p.ref] = p.part
	}
	options := document.Options{Resolve: func(_, ref string) (*v1.Part, error) {
		part, ok := byRef[ref]
		if !ok {
			return nil, fmt.Errorf("the demo has no part %q", ref)
		}
		return proto.CloneOf(part), nil
	}}
	words, order, err := readWords()
	if err != nil {
		return nil, err
	}
	out := make([]shownBuild, 0, len(order))
	for _, id := range order {
		name := "builds/" + id + ".yaml"
		data, err := demo.FS.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("the demo's README names a build that is not there: %w", err)
		}
		build := new(v1.Build)
		if _, err := options.Read(name, data, build); err != nil {
			return nil, fmt.Errorf("the demo's build %s cannot be read: %w", id, err)
		}
		encoded, err := encode(build)
		if err != nil {
			return nil, fmt.Errorf("the demo's build %s cannot be written: %w", id, err)
		}
		out = append(out, shownBuild{encoded, words[id][0], words[id][1]})
	}
	return out, nil
}

// wordsRow is a row of the README's table of builds.
var wordsRow = regexp.MustCompile("(?m)^\\| `([a-z0-9-]+)` \\| ([^|]+) \\| ([^|]+) \\|$")

// readWords takes from the demo's README what each build shows and what is to be
// expected of it, so that the shop says the same.
func readWords() (words map[string][2]string, order []string, err error) {
	text, err := demo.FS.ReadFile("README.md")
	if err != nil {
		return nil, nil, err
	}
	words = map[string][2]string{}
	for _, m := range wordsRow.FindAllSubmatch(text, -1) {
		id := string(m[1])
		words[id] = [2]string{plain(m[2]), plain(m[3])}
		order = append(order, id)
	}
	if len(order) == 0 {
		return nil, nil, fmt.Errorf("the demo's README has no table of builds")
	}
	return words, order, nil
}

// plain drops the marks of code from a cell.
func plain(cell []byte) string { return strings.ReplaceAll(strings.TrimSpace(string(cell)), "`", "") }

// encode writes a message by protobuf's JSON mapping with the contract's field
// names, without the spaces that the mapping adds at random.
func encode(m proto.Message) (json.RawMessage, error) {
	loose, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(m)
	if err != nil {
		return nil, err
	}
	var tight bytes.Buffer
	if err := json.Compact(&tight, loose); err != nil {
		return nil, err
	}
	return tight.Bytes(), nil
}
