package audit

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"google.golang.org/protobuf/encoding/protojson"

	"slipfit.example/clients/lines"
	v1 "slipfit.example/proto/slipfit/v1"
)

const fanMap = `
decimal: ","
kind: fan
columns:
  - {column: Artikel, field: id}
  - {column: Name, field: name}
  - {column: Größe (cm), field: fan.size_mm, unit: cm}
  - {column: Luftstrom, field: fan.max_flow_m3h, unit: cfm}
  - {column: Drehzahl, field: fan.max_speed_rpm}
  - {column: Masse, field: mass_g, unit: kg}
  - {column: Anschluss, field: fan.header, words: {4-polig: fan-4}}
  - {column: Stoppt, field: fan.can_stop, optional: true}
ignore: [Preis]
`

const fanTable = "Artikel;Name;Größe (cm);Luftstrom;Drehzahl;Masse;Anschluss;Preis;Lager\r\n" +
	"H 120;Heron 120;12;55,3;1.500 rpm;0,165;4-polig;21,90;3\r\n" +
	"H 140;\"Heron; groß\";14,0;120 m³/h;1 200;0,2;fan-3;23,90;0\r\n" +
	"H 92;Heron 92;9,2 cm;viel;2000;165 g;4-polig;19,90;1\r\n"

func readMap(t testing.TB, text string) *Columns {
	t.Helper()
	c, err := ReadColumns("columns.yaml", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// rows reads a table and gives each row as JSON with its remarks behind it.
func rows(t testing.TB, table, columns string) (out []string, opened *Table) {
	t.Helper()
	opened, err := OpenTable("shop.csv", strings.NewReader(table), readMap(t, columns))
	if err != nil {
		t.Fatal(err)
	}
	for item := range opened.Items() {
		p, remarks := item.Read()
		line := number10(item.Place.Line) + " "
		if p != nil {
			encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(p)
			if err != nil {
				t.Fatal(err)
			}
			line += strings.ReplaceAll(string(encoded), ", ", ",")
		}
		for _, r := range remarks {
			line += " ! " + r.Text
		}
		out = append(out, strings.ReplaceAll(line, ": ", ":"))
	}
	return out, opened
}

// A cubic foot is 0.3048^3 m3, so that 55.3 cubic feet a minute are 93.955 m3/h.
func TestAShopsTableBecomesParts(t *testing.T) {
	got, opened := rows(t, fanTable, fanMap)
	want := []string{
		`2 {"id":"h-120","name":"Heron 120","mass_g":165,"fan":{"size_mm":120,"max_speed_rpm":1500,"max_flow_m3h":93.9552970188,"header":"fan-4"}}`,
		`3 {"id":"h-140","name":"Heron; groß","mass_g":200,"fan":{"size_mm":140,"max_speed_rpm":1200,"max_flow_m3h":120,"header":"fan-3"}}`,
		`4 {"id":"h-92","name":"Heron 92","mass_g":165,"fan":{"size_mm":92,"max_speed_rpm":2000,"header":"fan-4"}} ! Column "Luftstrom":"viel" is no number.`,
	}
	if !slices.Equal(got, want) {
		t.Errorf("rows\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if !slices.Equal(opened.Unmapped, []string{"Lager"}) {
		t.Errorf("unmapped columns %v", opened.Unmapped)
	}
}

func TestEveryEncodingGivesTheSameRows(t *testing.T) {
	want, _ := rows(t, fanTable, fanMap)
	wide := func(order binary.AppendByteOrder, mark bool) string {
		var b []byte
		if mark {
			b = order.AppendUint16(b, 0xfeff)
		}
		for _, u := range utf16.Encode([]rune(fanTable)) {
			b = order.AppendUint16(b, u)
		}
		return string(b)
	}
	var latin []byte
	for _, r := range fanTable {
		latin = append(latin, byte(r)) // every character of the table lies within Latin-1
	}
	for name, table := range map[string]string{
		"UTF-8 with a mark":         "\xef\xbb\xbf" + fanTable,
		"UTF-16, low byte first":    wide(binary.LittleEndian, true),
		"UTF-16, high byte first":   wide(binary.BigEndian, true),
		"UTF-16 without a mark":     wide(binary.LittleEndian, false),
		"Latin-1":                   string(latin),
		"UTF-8 with a Latin-1 row":  strings.Replace(fanTable, "Heron; groß", "Heron; gro\xdf", 1),
		"a table with CR LF in one": strings.ReplaceAll(fanTable, "\r\n", "\n"),
	} {
		columns := fanMap
		if strings.Contains(name, "row") {
			columns += "encoding: utf-8\n"
		}
		if got, _ := rows(t, table, columns); !slices.Equal(got, want) {
			t.Errorf("%s: rows\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

func TestNumbersAsPeopleWriteThem(t *testing.T) {
	for text, want := range map[string]string{
		"1,5": "1.5", "1.5": "1.5", "1.234,5": "1234.5", "1,234.5": "1234.5", "1 234,5": "1234.5", "1'234.5": "1234.5", "1 234": "1234",
		"12": "12", "-3,5": "-3.5", "0,123": "0.123", "1.234.567": "1.234567e+06", "12,5 mm": "12.5 mm", "5\"": "5 \"",
		"1.234":  `"1.234" is no number: it can be read in two ways; say decimal: "." or decimal: "," in the map`,
		"1,23,4": `"1,23,4" is no number: its thousands are not set apart by threes`,
		"viel":   `"viel" is no number`, "1.2.3": `"1.2.3" is no number: its thousands are not set apart by threes`, "": `"" is no number`,
	} {
		v, unit, err := convention{}.number(text)
		got := strings.TrimSpace(fmt.Sprintf("%g %s", v, unit))
		if err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("%q is read as %q, want %q", text, got, want)
		}
	}
	if v, _, err := (convention{decimal: ','}).number("1.234"); v != 1234 || err != nil {
		t.Errorf("with a decimal comma 1.234 is %g (%v)", v, err)
	}
}

func TestColumnsMissingAndTwiceAreNamed(t *testing.T) {
	_, err := OpenTable("shop.csv", strings.NewReader("Artikel;Name;Name;Drehzahl\n1;2;3;4\n"), readMap(t, fanMap))
	for _, want := range []string{`the column "Name" stands twice`, `the column "Größe (cm)" is missing`, `the column "Luftstrom" is missing`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("the error does not say %q: %v", want, err)
		}
	}
	if strings.Contains(err.Error(), "Stoppt") {
		t.Error("a column that may be absent is missed")
	}
}

func TestBadMapsSayWhatIsWrong(t *testing.T) {
	for text, want := range map[string]string{
		"columns: [{column: A, field: fan.size}]":                   `a part has no field "fan.size": Fan has no "size"`,
		"columns: [{column: A, field: fan.size_mm, unit: furlong}]": `"furlong" is no unit of fan.size_mm; write`,
		"columns: [{column: A, field: fan.header, unit: mm}]":       `fan.header has no unit`,
		"columns: [{column: A, field: fan}]":                        `"fan" is no single value`,
		"columns: []":                                               "columns names no column",
		"kind: fann\ncolumns: [{column: A, field: id}]":             `"fann" is no kind of part`,
		"decimal: \";\"\ncolumns: [{column: A, field: id}]":         `decimal is "." or ","`,
		"colums: []":             "columns.yaml is no map of columns",
		"columns: [{column: A}]": "columns[0] wants both column and field",
	} {
		if _, err := ReadColumns("columns.yaml", strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v, want %q", text, err, want)
		}
	}
}

func TestRowsThatCannotBeReadAreToldAndTheRestGoesOn(t *testing.T) {
	table := "kind,id,size\n" +
		"fan,a,120\n" +
		"lamp,b,1\n" +
		"fan,\"c\"x,120\n" +
		"fan,d\n" +
		"fan," + strings.Repeat("y", greatestRecord+1) + ",120\n" +
		"fan,e,140\n"
	got, _ := rows(t, table, "kind_column: kind\ncolumns: [{column: id, field: id}, {column: size, field: fan.size_mm}]")
	for i, want := range []string{
		`2 {"id":"a","fan":{"size_mm":120}}`, `3  ! "lamp" in column "kind" is no kind of part`, `4  ! the row cannot be read`,
		`5 {"id":"d","fan":{}}`, `6  ! the row is longer than`, `7 {"id":"e","fan":{"size_mm":140}}`,
	} {
		if i >= len(got) || !strings.HasPrefix(got[i], want) {
			t.Fatalf("row %d of\n%.600s\nwant %s", i, strings.Join(got, "\n"), want)
		}
	}
}

func TestAQuoteThatNeverEndsTakesOnlyItsOwnRow(t *testing.T) {
	table := "id,size\n\"a,1\n" + strings.Repeat("b,120\n", 200)
	got, _ := rows(t, table, "kind: fan\ncolumns: [{column: id, field: id}, {column: size, field: fan.size_mm}]")
	good := 0
	for _, row := range got[1:] {
		if strings.HasSuffix(row, `{"id":"b","fan":{"size_mm":120}}`) {
			good++
		}
	}
	if !strings.HasPrefix(got[0], "2  ! a quote opens in this row") || good != 200 {
		t.Errorf("first %q, then %d good rows", got[0], good)
	}
}

func TestAnAuditOfATableNamesItsRows(t *testing.T) {
	opened, err := OpenTable("shop.csv", strings.NewReader("id;h\na;158\nb;15,8\n"), readMap(t,
		"kind: air_cooler\ncolumns: [{column: id, field: id}, {column: h, field: air_cooler.height_mm}]"))
	if err != nil {
		t.Fatal(err)
	}
	got, summary := run(t, opened.Items())
	if want := []string{"2 PASS", "3 FAIL audit.usual-figures"}; !slices.Equal(got, want) || summary.Verdicts[v1.Verdict_VERDICT_FAIL] != 1 {
		t.Errorf("results %v, want %v", got, want)
	}
}

// A decimal comma that nobody quoted makes two cells of one: the row is told, and no
// half of the number is taken for the whole.
func TestARowWiderThanItsHeadingIsTold(t *testing.T) {
	const columns = "kind: fan\ncolumns:\n  - {column: A, field: id}\n  - {column: S, field: fan.size_mm}\n"
	got, _ := rows(t, "A,S\nh1,12,5\nh2,120,\nh3,140\n", columns)
	if len(got) != 3 || !strings.Contains(got[0], `the row has 3 cells and the heading 2; where a cell holds a ',', such as a decimal comma, quote it`) {
		t.Fatalf("rows %q", got)
	}
	for i, want := range []string{`"size_mm":120`, `"size_mm":140`} {
		if !strings.Contains(got[i+1], want) {
			t.Errorf("row %d is %s, want %s", i+2, got[i+1], want)
		}
	}
}

// A compressed table that is cut off says so, and its rows up to there are read.
func TestATableThatIsCutOffSaysSo(t *testing.T) {
	var whole bytes.Buffer
	z := gzip.NewWriter(&whole)
	fmt.Fprint(z, "A,S\n")
	for i := range 20_000 {
		fmt.Fprintf(z, "h%d,%d\n", i*7919%10007, 40+i%200)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	from, err := lines.Decompress("shop.csv.gz", bytes.NewReader(whole.Bytes()[:whole.Len()/2]))
	if err != nil {
		t.Fatal(err)
	}
	table, err := OpenTable("shop.csv.gz", from, readMap(t, "kind: fan\ncolumns:\n  - {column: A, field: id}\n  - {column: S, field: fan.size_mm}\n"))
	if err != nil {
		t.Fatal(err)
	}
	good, last := 0, ""
	for item := range table.Items() {
		if p, remarks := item.Read(); p != nil {
			good++
		} else {
			last = remarks[0].Text
		}
	}
	if good < 5000 || !strings.Contains(last, "the table breaks off here: the compressed stream is cut off; fetch the file again") {
		t.Errorf("%d rows are read, the last says %q", good, last)
	}
}
