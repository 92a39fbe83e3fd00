package standards

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// tables are all exported tables, by the function that lists each.
var tables = map[string]any{
	"All": All(), "Figures": Figures(),
	"Boards": Boards(), "HeightZones": HeightZones(),
	"SupplyForms": SupplyForms(), "RailLimits": RailLimits(), "Excursions": Excursions(),
	"ProcessorCurrents": ProcessorCurrents(), "HoldUps": HoldUps(), "LoadSteps": LoadSteps(), "ACRanges": ACRanges(),
	"EfficiencyMarks": EfficiencyMarks(),
	"Connectors":      Connectors(), "ContactRatings": ContactRatings(), "AuxLimits": AuxLimits(),
	"Matings": Matings(), "SenseCodes": SenseCodes(), "Pinouts": Pinouts(),
	"CardWidths": CardWidths(), "SlotPowers": SlotPowers(), "CardClasses": CardClasses(), "LinkGenerations": LinkGenerations(),
	"MemoryKinds": MemoryKinds(), "M2Keys": M2Keys(), "M2Heights": M2Heights(),
	"FanSizes": FanSizes(), "FanPins": FanPins(), "FanHeaders": FanHeaders(),
	"DriveForms": DriveForms(), "RadiatorSizes": RadiatorSizes(), "RadiatorOutlines": RadiatorOutlines(),
	"Threads": Threads(), "ThreadUses": ThreadUses(), "Heads": Heads(), "TorqueCeilings": TorqueCeilings(),
	"CustomaryTorques": CustomaryTorques(), "Engagements": Engagements(),
	"WireRows": WireRows(), "USBPowers": USBPowers(), "USBRates": USBRates(), "Headers": Headers(),
	"Couplers": Couplers(), "TouchLimits": TouchLimits(), "Cautions": Cautions(), "Sockets": Sockets(),
}

// parseCode returns the package's files without its tests.
func parseCode(t *testing.T) []*ast.File {
	t.Helper()
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	var files []*ast.File
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, name, nil, parser.ParseComments)
		if err != nil {
			t.Fatalf("the package cannot be parsed: %v", err)
		}
		files = append(files, f)
	}
	if len(files) < 10 {
		t.Fatalf("only %d files found", len(files))
	}
	return files
}

// listing reports whether a function lists a table: exported, no parameters,
// and one slice of a named structure of this package as its result.
func listing(f *ast.FuncDecl) bool {
	if f.Recv != nil || !f.Name.IsExported() || f.Type.Params.NumFields() != 0 || f.Type.Results.NumFields() != 1 {
		return false
	}
	slice, ok := f.Type.Results.List[0].Type.(*ast.ArrayType)
	if !ok {
		return false
	}
	element, ok := slice.Elt.(*ast.Ident)
	return ok && element.IsExported() && element.Name != "Vocabulary"
}

func TestEveryListingFunctionIsWalked(t *testing.T) {
	seen := 0
	for _, file := range parseCode(t) {
		for _, d := range file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || !listing(f) {
				continue
			}
			seen++
			if _, walked := tables[f.Name.Name]; !walked {
				t.Errorf("table %s is not in the list that the tests walk", f.Name.Name)
			}
		}
	}
	if seen != len(tables) {
		t.Errorf("%d tables found in the code, %d in the list", seen, len(tables))
	}
}

var sourceType = reflect.TypeFor[Source]()

// walk visits every source and every number below a value.
func walk(v reflect.Value, path string, source func(string, Source), number func(string, float64)) {
	if v.Type() == sourceType {
		source(path, v.Interface().(Source))
		return
	}
	switch v.Kind() {
	case reflect.Slice:
		for i := range v.Len() {
			walk(v.Index(i), path, source, number)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			walk(v.Field(i), path+"."+v.Type().Field(i).Name, source, number)
		}
	case reflect.Float64:
		number(path, v.Float())
	}
}

func TestEveryRowCarriesARegisteredSource(t *testing.T) {
	for name, table := range tables {
		rows := reflect.ValueOf(table)
		if rows.Len() == 0 {
			t.Errorf("table %s is empty", name)
		}
		for i := range rows.Len() {
			row, found := rows.Index(i), 0
			walk(row, name, func(path string, s Source) {
				found++
				if registered, ok := Lookup(s.ID); !ok || registered != s {
					t.Errorf("%s row %d (%v): source %q is not the registered one", path, i, row.Interface(), s.ID)
				}
			}, func(path string, x float64) {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Errorf("%s row %d holds %v", path, i, x)
				}
			})
			if found == 0 {
				t.Errorf("table %s row %d has no source: %v", name, i, row.Interface())
			}
		}
	}
}

func TestEverySourceIsUsed(t *testing.T) {
	used := map[string]bool{srcSameToken.ID: true}
	for name, table := range tables {
		if name == "All" {
			continue
		}
		walk(reflect.ValueOf(table), name, func(_ string, s Source) { used[s.ID] = true }, func(string, float64) {})
	}
	_, screw := M2Screw()
	for _, s := range []Source{
		LinkSource(), M2SizeSource(), RadiatorHolesSource(), ProtrusionSource(), WireSource(), InrushSource(),
		FrontPanelSupplySource(), BranchSource(), ExcursionTestSource(), screw,
		srcMicroATXStray, srcThreadPair, srcDrop, srcACPower, srcUPS, // results carry these
	} {
		used[s.ID] = true
	}
	for _, s := range All() {
		if !used[s.ID] {
			t.Errorf("source %q is registered and no row uses it", s.ID)
		}
	}
}

// TestListsAreCopies changes the first row of every table and looks again.
func TestListsAreCopies(t *testing.T) {
	Boards()[0].Holes[0].Letter = "changed"
	SupplyForms()[0].Holes[0] = Point{-1, -1}
	Connectors()[0].Rails[0].Count = -1
	EfficiencyMarks()[0].Points[0].Efficiency = -1
	Pinouts()[0].Signals[0] = "changed"
	CardClasses()[1].Aux[0] = "changed"
	M2Keys()[0].Interfaces[0] = "changed"
	FanSizes()[0].ThicknessesMM[0] = -1
	ThreadUses()[0].Threads[0] = "changed"
	Headers()[0].Signals[0] = "changed"
	Tokens(VocabThread)[0] = "changed"
	M2Widths()[0], M2Lengths()[0] = -1, -1
	for what, intact := range map[string]bool{
		"boards": boards[0].Holes[0].Letter == "C", "supplies": supplyForms[0].Holes[0] == Point{6, 16},
		"connectors": connectors[0].Rails[0].Count == 2, "marks": efficiencyMarks[0].Points[0].Efficiency == 0.8,
		"pinouts": pinouts[0].Signals[0] == Rail3V3, "classes": cardClasses[1].Aux[0] == ConnectorPCIe6,
		"keys": m2Keys[0].Interfaces[0] == "2 x PCIe x1", "fans": fanSizes[0].ThicknessesMM[0] == 10,
		"uses": threadUses[0].Threads[0] == Thread632, "headers": headers[0].Signals[0] == "+5 V",
		"tokens": !slices.Contains(vocabularies[VocabThread], "changed"),
		"sizes":  m2Widths[0] == 12 && m2Lengths[0] == 16,
	} {
		if !intact {
			t.Errorf("a caller can change the table of %s", what)
		}
	}
}

func TestEveryExportedNameIsDocumented(t *testing.T) {
	for _, file := range parseCode(t) {
		for _, d := range file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Name.IsExported() && d.Doc == nil {
					t.Errorf("function %s has no comment", d.Name.Name)
				}
			case *ast.GenDecl:
				for _, s := range d.Specs {
					if spec, ok := s.(*ast.TypeSpec); ok && spec.Name.IsExported() && d.Doc == nil {
						t.Errorf("type %s has no comment", spec.Name.Name)
					}
					if spec, ok := s.(*ast.ValueSpec); ok && spec.Names[0].IsExported() && d.Doc == nil && spec.Doc == nil {
						t.Errorf("%s and its group have no comment", spec.Names[0].Name)
					}
				}
			}
		}
	}
}
