package demo

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"reflect"
	"slices"
	"strings"
	"testing"

	"buf.build/go/protovalidate"
	"go.yaml.in/yaml/v3"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// A general YAML reader has to read every file, too: nothing in the data leans on this project's own reader.
func TestEveryFileIsYAML(t *testing.T) {
	names, err := fs.Glob(FS, "*/*.yaml")
	if err != nil || len(names) < 20 {
		t.Fatalf("%d files of data, %v", len(names), err)
	}
	for _, name := range names {
		data, err := FS.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		documents := 0
		for decoder := yaml.NewDecoder(bytes.NewReader(data)); ; documents++ {
			var document map[string]any
			if err := decoder.Decode(&document); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%s, document %d: %v", name, documents+1, err)
			}
			if document["id"] == nil {
				t.Errorf("%s, document %d has no id", name, documents+1)
			}
		}
		if documents == 0 {
			t.Errorf("%s holds no document", name)
		}
		if !bytes.HasPrefix(data, []byte("# ")) {
			t.Errorf("%s does not start with a comment that says what it holds", name)
		}
	}
}

// The field rules of the contract, and what they cannot say, find nothing.
func TestNothingViolatesTheContract(t *testing.T) {
	rules, err := protovalidate.New()
	if err != nil {
		t.Fatal(err)
	}
	validator, err := document.New()
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range catalogue(t) {
		if err := rules.Validate(e.part); err != nil {
			t.Errorf("%s#%s: %v", e.file, e.part.GetId(), err)
		}
		for _, v := range validator.ValidatePart(e.part) {
			t.Errorf("%s#%s: %v", e.file, e.part.GetId(), v)
		}
	}
	for id, build := range builds(t) {
		if err := rules.Validate(build); err != nil {
			t.Errorf("build %s: %v", id, err)
		}
		for _, v := range validator.ValidateBuild(build) {
			t.Errorf("build %s: %v", id, v)
		}
	}
}

// Sixty parts at least, of all kinds that the contract knows, each with an id of its own in the whole catalogue.
func TestCatalogueIsWide(t *testing.T) {
	parts := catalogue(t)
	if len(parts) < 60 {
		t.Errorf("the catalogue holds %d parts, fewer than 60", len(parts))
	}
	kinds := map[string]int{}
	places := map[string]string{}
	for _, e := range parts {
		kinds[strings.TrimPrefix(reflect.TypeOf(e.part.GetKind()).String(), "*slipfitv1.Part_")]++
		if before, twice := places[e.part.GetId()]; twice {
			t.Errorf("the id %s stands in %s and in %s", e.part.GetId(), before, e.file)
		}
		places[e.part.GetId()] = e.file
	}
	fields := (&slipfitv1.Part{}).ProtoReflect().Descriptor().Oneofs().ByName("kind").Fields()
	if len(kinds) != fields.Len() {
		t.Errorf("the catalogue has parts of %d kinds, the contract knows %d: %v", len(kinds), fields.Len(), kinds)
	}
}

// A name may not come in two spellings, and no two parts of one maker share one.
func TestMakersAndNamesAreTold(t *testing.T) {
	spelling := map[string]string{}
	names := map[string]string{}
	for _, e := range catalogue(t) {
		p := e.part
		if p.GetMaker() == "" || p.GetName() == "" {
			t.Errorf("%s lacks a maker or a name", p.GetId())
		}
		folded := strings.ToLower(strings.ReplaceAll(p.GetMaker(), " ", ""))
		if before, seen := spelling[folded]; seen && before != p.GetMaker() {
			t.Errorf("the maker %q is also spelled %q", p.GetMaker(), before)
		}
		spelling[folded] = p.GetMaker()
		full := p.GetMaker() + " " + p.GetName()
		if before, seen := names[full]; seen {
			t.Errorf("%s and %s are both called %q", before, p.GetId(), full)
		}
		names[full] = p.GetId()
	}
	if len(spelling) < 12 {
		t.Errorf("only %d makers: too few for a market", len(spelling))
	}
}

// Announced parts have neither price nor mass; all others have both, in one currency. A good share says where its
// figures come from.
func TestPricesMassesAndOrigins(t *testing.T) {
	told, parts := 0, catalogue(t)
	for _, e := range parts {
		p := e.part
		if strings.HasSuffix(p.GetId(), "-preview") {
			if p.Price != nil || p.MassG != nil {
				t.Errorf("%s is announced only, yet has a price or a mass", p.GetId())
			}
			continue
		}
		if p.GetPrice().GetCurrency() != "EUR" || p.GetPrice().GetAmount() <= 0 || p.GetMassG() <= 0 {
			t.Errorf("%s has no price in EUR or no mass", p.GetId())
		}
		if len(p.GetFigures()) > 0 {
			told++
		}
		for i, f := range p.GetFigures() {
			if f.GetWhere() == "" || f.GetReadOn() == "" || f.Origin == nil {
				t.Errorf("%s: figures[%d] does not say where, when and how", p.GetId(), i)
			}
		}
	}
	if 4*told < len(parts) {
		t.Errorf("%d of %d parts say where their figures come from, less than a quarter", told, len(parts))
	}
}

// A build is complete: one part of each role that a computer cannot do without, a room and a use.
func TestBuildsAreComplete(t *testing.T) {
	all := builds(t)
	if len(all) < 9 {
		t.Errorf("there are %d builds, fewer than 9", len(all))
	}
	for id, build := range all {
		var kinds []string
		for _, item := range build.GetItems() {
			kinds = append(kinds, strings.TrimPrefix(fmt.Sprintf("%T", item.GetPart().GetKind()), "*slipfitv1.Part_"))
		}
		for _, kind := range []string{"Chassis", "Board", "Processor", "Memory", "Supply", "Drive", "Fan"} {
			if !slices.Contains(kinds, kind) {
				t.Errorf("build %s has no %s", id, kind)
			}
		}
		if !slices.Contains(kinds, "AirCooler") && !slices.Contains(kinds, "LiquidLoop") {
			t.Errorf("build %s has nothing to cool its processor", id)
		}
		if build.GetTitle() == "" || build.GetRoom() == nil || build.GetUse() == nil {
			t.Errorf("build %s lacks a title, a room or a use", id)
		}
		if (build.GetRoom().TemperatureC == nil) != (id == "archive-draft") {
			t.Errorf("build %s: the room's temperature is missing in the draft, and only there", id)
		}
	}
}

// Every part that the README lists is in the catalogue, and the other way round.
func TestReadmeListsTheCatalogue(t *testing.T) {
	readme, err := FS.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for line := range strings.Lines(string(readme)) {
		cells := strings.Split(line, "|")
		if len(cells) < 4 || !strings.Contains(cells[1], ".yaml") || !strings.Contains(cells[1], "parts/") {
			continue
		}
		for _, id := range strings.Split(cells[2], ",") {
			listed[strings.Trim(strings.TrimSpace(id), "`")] = true
		}
	}
	for _, e := range catalogue(t) {
		if !listed[e.part.GetId()] {
			t.Errorf("README.md does not list %s of %s", e.part.GetId(), e.file)
		}
		delete(listed, e.part.GetId())
	}
	for id := range listed {
		t.Errorf("README.md lists %q, which is not in the catalogue", id)
	}
	for id := range builds(t) {
		if !bytes.Contains(readme, []byte("`"+id+"`")) {
			t.Errorf("README.md does not tell of the build %s", id)
		}
	}
}
