package document

import (
	"os"
	"path/filepath"
	"testing"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// shelve writes part files into a folder of their own.
func shelve(t *testing.T, files map[string]string) string {
	t.Helper()
	root := t.TempDir()
	for name, text := range files {
		full := filepath.Join(root, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(full), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(full, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return root
}

var shelf = map[string]string{
	"one.yaml":          "id: stille-120\nfan: {size_mm: 120}\n",
	"several.yaml":      "id: stille-120\nfan: {size_mm: 120}\n---\n# nothing\n---\n- id: stille-140\n  fan: {size_mm: 140}\n- many.ndjson#stille-92\n",
	"many.ndjson":       "{\"id\":\"stille-92\",\"fan\":{\"sizeMm\":92}}\n\n{\"id\":\"stille-80\",\"fan\":{\"sizeMm\":80}}\n",
	"list.json":         "[{\"id\":\"stille-60\",\"fan\":{\"sizeMm\":60}}]",
	"broken.yaml":       "id: good\nfan: {}\n---\nid: bad\nfan: {siez_mm: 1}\n---\nid: [\n---\nid: last\nfan: {}\n",
	"twice.yaml":        "- {id: a, fan: {}}\n- {id: a, fan: {}}\n",
	"circle/a.yaml":     "b.yaml#x\n",
	"circle/b.yaml":     "- a.yaml\n- b.yaml#x\n",
	"circle/self.yaml":  "self.yaml\n",
	"circle/round.yaml": "- ../circle/ring.yaml#x\n",
	"circle/ring.yaml":  "- round.yaml#x\n",
	"empty.yaml":        "# nothing yet\n",
	"builds/b.yaml":     "",
}

func TestFileResolverFollows(t *testing.T) {
	root := shelve(t, shelf)
	resolve := FileResolver(root)
	for _, c := range []struct {
		from, ref string
		size      uint32
	}{
		{"b.yaml", "one.yaml", 120},
		{"b.yaml", "one.yaml#stille-120", 120},
		{"b.yaml", "several.yaml#stille-140", 140},
		{"b.yaml", "several.yaml#stille-92", 92},
		{"b.yaml", "./many.ndjson#stille-80", 80},
		{"b.yaml", "list.json", 60},
		{"builds/b.yaml", "../one.yaml", 120},
		{"builds/b.yaml", "../builds/../list.json#stille-60", 60},
		{filepath.Join(root, "builds", "b.yaml"), "../one.yaml", 120},
		{"b.yaml", "broken.yaml#last", 0},
	} {
		part, err := resolve(c.from, c.ref)
		if err != nil {
			t.Errorf("%s from %s: %v", c.ref, c.from, err)
		} else if got := part.GetFan().GetSizeMm(); got != c.size {
			t.Errorf("%s from %s is a fan of %d mm, want %d", c.ref, c.from, got, c.size)
		}
	}
}

func TestFileResolverRefuses(t *testing.T) {
	root := shelve(t, shelf)
	if err := os.Symlink("/etc/hostname", filepath.Join(root, "out.yaml")); err != nil {
		t.Fatal(err)
	}
	resolve := FileResolver(root)
	for _, c := range []struct{ ref, want string }{
		{"many.ndjson", "the file many.ndjson holds 2 parts; say which, as in many.ndjson#stille-92"},
		{"many.ndjson#stile-92", `the file many.ndjson holds no part "stile-92"; the nearest is "stille-92"`},
		{"one.yaml#other", `the file one.yaml holds no part "other"`},
		{"on.yaml", `there is no file on.yaml in ` + root + `; the nearest is "one.yaml"`},
		{"twice.yaml#a", `the file twice.yaml holds the part "a" twice, in lines 1 and 2; take one out`},
		{"broken.yaml#bad", `broken.yaml:5:7: fan: Fan has no field "siez_mm"; the nearest is "size_mm"`},
		{"broken.yaml#gone", "broken.yaml:7: this is not YAML, here or in the next line: did not find expected node content"},
		{"circle/self.yaml", "the references lead round in a circle: circle/self.yaml -> circle/self.yaml"},
		{"circle/round.yaml#x", "the references lead round in a circle: circle/round.yaml#x -> circle/ring.yaml#x -> circle/round.yaml#x"},
		{"empty.yaml", "empty.yaml:1:1: the document is empty"},
		{"../b.yaml", "../b.yaml does not lie in the folder of the parts, " + root + "; move it there"},
		{"", "the reference is empty; write a file's name, or a file's name and an id as in fans.yaml#stille-120"},
		{"builds", "builds is not a file of at most 67108864 bytes"},
	} {
		part, err := resolve("b.yaml", c.ref)
		if err == nil {
			t.Errorf("%s: taken for %v", c.ref, part)
		} else if err.Error() != c.want {
			t.Errorf("%s: says\n%v\nwant\n%s", c.ref, err, c.want)
		}
	}
	for _, ref := range []string{"/etc/hostname", "out.yaml"} {
		if part, err := resolve("b.yaml", ref); err == nil {
			t.Errorf("%s, outside of the folder, is taken for %v", ref, part)
		}
	}
}

// TestReferencesInADocument reads a build whose parts stand in files, and one
// whose reference is wrong.
func TestReferencesInADocument(t *testing.T) {
	options := Options{Resolve: FileResolver(shelve(t, shelf))}
	var build slipfitv1.Build
	text := "items:\n- {id: a, part: one.yaml}\n- {id: b, part: one.yaml}\n"
	if _, err := options.Read("b.yaml", []byte(text), &build); err != nil {
		t.Fatal(err)
	}
	if build.Items[0].Part == build.Items[1].Part {
		t.Error("two items share one part; a change of one would change the other")
	}
	_, err := options.Read("b.yaml", []byte("items:\n- id: a\n  part: several.yaml#stille-14O\n"), &build)
	want := `b.yaml:3:9: items[0].part: the reference "several.yaml#stille-14O" cannot be followed: ` +
		`the file several.yaml holds no part "stille-14O"; the nearest is "stille-140"`
	if err == nil || err.Error() != want {
		t.Errorf("Read says\n%v\nwant\n%s", err, want)
	}
}
