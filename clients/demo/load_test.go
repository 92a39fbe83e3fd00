package demo

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"sync"
	"testing"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// entry is one part of the catalogue.
type entry struct {
	file string
	part *slipfitv1.Part
}

// catalogue gives all parts, in the order of files and documents. They are read once and not to be changed.
func catalogue(t *testing.T) []entry {
	t.Helper()
	all, err := readCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

var readCatalogue = sync.OnceValues(func() ([]entry, error) {
	names, err := files("parts")
	if err != nil {
		return nil, err
	}
	var all []entry
	for _, name := range names {
		data, err := FS.ReadFile(name)
		if err != nil {
			return nil, err
		}
		for e := range document.ReadAll(name, bytes.NewReader(data), document.Options{}, func() *slipfitv1.Part { return &slipfitv1.Part{} }) {
			if e.Err != nil {
				return nil, fmt.Errorf("%s, document %d cannot be read: %w", name, e.Number, e.Err)
			}
			all = append(all, entry{name, e.Message})
		}
	}
	return all, nil
})

// part gives one part of the catalogue.
func part(t *testing.T, id string) *slipfitv1.Part {
	t.Helper()
	for _, e := range catalogue(t) {
		if e.part.GetId() == id {
			return e.part
		}
	}
	t.Fatalf("the catalogue has no part %q", id)
	return nil
}

// builds gives all builds by their ids, references followed. They are read once and not to be changed.
func builds(t *testing.T) map[string]*slipfitv1.Build {
	t.Helper()
	all, err := readBuilds()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

var readBuilds = sync.OnceValues(func() (map[string]*slipfitv1.Build, error) {
	names, err := files("builds")
	if err != nil {
		return nil, err
	}
	options := document.Options{Resolve: document.FileResolver(".")}
	all := map[string]*slipfitv1.Build{}
	for _, name := range names {
		data, err := FS.ReadFile(name)
		if err != nil {
			return nil, err
		}
		build := &slipfitv1.Build{}
		if _, err := options.Read(name, data, build); err != nil {
			return nil, fmt.Errorf("%s cannot be read: %w", name, err)
		}
		if want := strings.TrimSuffix(path.Base(name), ".yaml"); build.GetId() != want {
			return nil, fmt.Errorf("%s holds the build %q; name the file as the build", name, build.GetId())
		}
		all[build.GetId()] = build
	}
	return all, nil
})

func files(folder string) ([]string, error) {
	names, err := fs.Glob(FS, folder+"/*.yaml")
	if err == nil && len(names) == 0 {
		err = fmt.Errorf("there are no YAML files in %s", folder)
	}
	return names, err
}

// fansOf gives every fan that a part is or has, with what to call it.
func fansOf(p *slipfitv1.Part) map[string]*slipfitv1.Fan {
	found := map[string]*slipfitv1.Fan{}
	seat := func(where string, s *slipfitv1.FanSeat) {
		if s.GetFan() != nil {
			found[p.GetId()+" "+where] = s.GetFan()
		}
	}
	if p.GetFan() != nil {
		found[p.GetId()] = p.GetFan()
	}
	for _, s := range p.GetAirCooler().GetFans() {
		seat("air_cooler.fans", s)
	}
	for _, s := range p.GetLiquidLoop().GetFans() {
		seat("liquid_loop.fans", s)
	}
	for _, s := range p.GetCard().GetFans() {
		seat("card.fans", s)
	}
	seat("supply.fan", p.GetSupply().GetFan())
	return found
}
