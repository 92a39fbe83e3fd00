package sheet

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
)

// full is an answer with everything on it; every text in it is a word of its own.
func full() *v1.CheckResponse {
	s, n, u := proto.String, proto.Float64, proto.Uint32
	verdict := func(v v1.Verdict) *v1.Verdict { return &v }
	span := func(x float64) *v1.Span { return &v1.Span{Nominal: n(x), Low: n(x - 2), High: n(x + 2)} }
	finding := func(v v1.Verdict, text string) *v1.Finding {
		return &v1.Finding{
			Rule: s("pond.depth"), Verdict: verdict(v), Subjects: []string{"cooler", "case"}, Summary: &v1.Message{Text: s(text)},
			Remedies: []*v1.Remedy{{Action: &v1.Message{Text: s("Dig deeper.")}}}, Caution: &v1.Message{Text: s("Banks are slippery.")},
			Sources: []*v1.Source{{Id: s("handbook"), Title: s("Handbook of ponds"), Standing: s("from memory")}},
			Margin:  &v1.Quantity{Nominal: n(-3), Unit: s("mm")}, Missing: []string{"items[0].part.mass_g"},
		}
	}
	svg := `<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><title>Plan</title><style>.a{fill:url(#b)}</style><rect class="a" width="9" height="9"/></svg>`
	arrangement := &v1.Arrangement{
		Layout: s("reeds"), MarginMm: n(1.25), Feasible: proto.Bool(true), Needs: []string{"plank"},
		Seats: []*v1.Seat{{Item: s("fan"), Mount: s("rear"), Count: u(2), Flow: v1.Flow_FLOW_EXHAUST.Enum(), OffsetsMm: []float64{20.32}, Side: s("inner")}},
		Boxes: []*v1.PlacedBox{{Item: s("cooler"), Body: s("fins"), Shape: s("shape-1")}},
		Gaps:  []*v1.Gap{{First: s("shape-1"), Second: s("shape-2"), NominalMm: n(0), LowMm: n(-1), RequiredMm: n(0), Reason: s("touch")}},
		Routes: []*v1.Route{
			{From: s("supply"), To: s("board"), Connector: s("main-24"), NeededMm: n(300), OrderMm: n(350), HaveMm: n(280)},
			{From: s("supply"), To: s("card"), Connector: s("pcie-8"), NeededMm: n(300), OrderMm: n(350)},
		},
	}
	assembly := &v1.Assembly{
		Steps: []*v1.Step{{
			Action: s("Lay the board in."), Items: []string{"board"}, Driver: s("cross-2"), TorqueLowNm: n(0.5), TorqueHighNm: n(0.6), Cables: []string{"main-24"},
			Caution: s("Mind the edges."), Reopens: []string{"fan"}, Fasteners: []*v1.FastenerCount{{Fastener: s("screw M3 x 5"), From: s("case"), Count: u(4)}, {Fastener: s("washer"), Count: u(1)}},
		}},
		Joints:   []*v1.FastenedJoint{{Joint: s("board/case (standoffs)"), Items: []string{"board", "case"}, Count: u(4), Thread: s("M3"), ShortestMm: n(4), LongestMm: n(7), Short: u(1)}},
		LeftOver: []*v1.FastenerCount{{Fastener: s("screw M3 x 4"), From: s("case"), Count: u(2)}},
		Purchases: []*v1.Purchase{
			{What: s("plank"), Count: u(2), Rule: s("pond.depth"), Price: n(12.5), Currency: s("EUR"), Items: []string{"case"}, Part: s("plank-2")},
			{What: s("reed"), Count: u(1)}, // of no rule
		},
		PurchasesCost: n(25), PurchasesCurrency: s("EUR"), PurchasesUnpriced: u(1),
		Reaches: []*v1.Reach{{Item: s("memory"), FirstOut: []string{"cooler"}}}, MassG: n(8620), Barred: s("a before b"),
	}
	forecast := &v1.Forecast{
		Points:   []*v1.HeatPoint{{Item: s("card"), Of: s("die"), TemperatureC: span(87), LimitC: n(88)}, {Item: s("top"), RiseK: span(5)}},
		LevelDba: span(26), MachineDba: span(24), WarmUpMin: span(16), Sources: []*v1.SoundSource{{Item: s("fan"), LevelDba: span(15), SpeedRpm: n(1000)}},
		Branches: []*v1.AirBranch{{Id: s("grille"), From: s("room"), To: s("main"), FlowM3H: span(40)}},
	}
	settings := &v1.Settings{Reachable: proto.Bool(true), LevelDba: span(22), Speeds: []*v1.FanSpeed{{Item: s("fan"), SpeedRpm: n(700)}},
		Improvements: []*v1.Improvement{{Action: s("Take the filter off."), ChangeK: span(-3), ChangeDb: span(0)}}}
	demand := &v1.BuildDemand{SustainedW: n(280), SustainedLowW: n(270), SustainedHighW: n(290), SupplyHeatW: n(20), MainsA: n(1.3), MainsW: n(300),
		Items: []*v1.ItemDemand{{Item: s("card"), SustainedW: n(110)}}, Missing: []string{"x"}}
	circuit := &v1.Circuit{Rails: []*v1.RailLoad{{Rail: s("12v"), CurrentA: n(20), RatedA: n(60)}},
		Connectors: []*v1.ConnectorLoad{{Item: s("card"), Connector: s("pcie-8"), ContactA: n(4), ContactRatedA: n(8), VoltageV: n(11.9), WireC: n(44), Rail: s("12v")},
			{Item: s("card"), Connector: s("pcie-8"), ContactA: n(3.9), Rail: s("ground")}}}
	links := &v1.Links{Links: []*v1.Link{{Item: s("card"), Into: s("slot-1"), Generation: u(4), Lanes: u(16), RateGbs: n(31.5)}}}
	return &v1.CheckResponse{
		BuildId: s("pond"), Verdict: verdict(v1.Verdict_VERDICT_FAIL),
		Findings: []*v1.Finding{
			finding(v1.Verdict_VERDICT_PASS, "The pond is wide enough."), finding(v1.Verdict_VERDICT_UNKNOWN, "Nobody knows its depth."),
			finding(v1.Verdict_VERDICT_FAIL, "The pond is too shallow."), finding(v1.Verdict_VERDICT_MARGINAL, "The pond is just long enough."),
		},
		Ruleset: &v1.Ruleset{Digest: s("abcdef0123456789"), Packs: []*v1.PackVersion{{Name: s("pond"), Version: s("0.1.0"), Answered: proto.Bool(true)}, {Name: s("reed"), Version: s("0.2.0"), Answered: proto.Bool(false)}}},
		Facts: []*v1.Fact{
			{Name: s("clearance.arrangement"), Content: &v1.Fact_Arrangement{Arrangement: arrangement}},
			{Name: s("clearance.drawing"), Content: &v1.Fact_Picture{Picture: &v1.Picture{Svg: &svg}}},
			{Name: s("thermal.chart"), Content: &v1.Fact_Picture{Picture: &v1.Picture{Svg: &svg}}},
			{Name: s("mounting.assembly"), Content: &v1.Fact_Assembly{Assembly: assembly}},
			{Name: s("thermal.forecast"), Content: &v1.Fact_Forecast{Forecast: forecast}},
			{Name: s("thermal.settings"), Content: &v1.Fact_Settings{Settings: settings}},
			{Name: s("power.demand"), Content: &v1.Fact_Demand{Demand: demand}},
			{Name: s("power.circuit"), Content: &v1.Fact_Circuit{Circuit: circuit}},
			{Name: s("interface.links"), Content: &v1.Fact_Links{Links: links}},
		},
	}
}

func write(t interface{ Fatal(...any) }, answer *v1.CheckResponse, o Options) string {
	var b bytes.Buffer
	if err := Write(&b, answer, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// walk visits every node of a page.
func walk(n *html.Node, visit func(*html.Node)) {
	visit(n)
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		walk(c, visit)
	}
}

func parse(t interface{ Fatal(...any) }, page string) *html.Node {
	doc, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// words is the page as a reader sees it.
func words(doc *html.Node) string {
	var b strings.Builder
	walk(doc, func(n *html.Node) {
		if n.Type == html.TextNode && n.Parent.Data != "style" {
			b.WriteString(n.Data + " ")
		}
	})
	return strings.Join(strings.Fields(b.String()), " ")
}

func TestEverythingIsOnThePage(t *testing.T) {
	page := words(parse(t, write(t, full(), Options{Title: "Pond by the archive", Names: map[string]string{"cooler": "Heron's Rest", "case": "Reed Bed"}, Made: "1 May"})))
	for _, want := range []string{
		"Pond by the archive", "FAIL", "Build pond", "1 May", "1 fail, 1 marginal, 1 unknown, 1 pass", "Without the rules of: reed",
		"The pond is too shallow. Heron's Rest; Reed Bed · pond.depth · margin -3 mm", "Dig deeper.", "Banks are slippery.",
		"2 plank catalogue plank-2 finding 1 , pond.depth Reed Bed 12.50 EUR", "1 reed – price unknown", "Together 25.00 EUR, without the one piece of unknown price.", "Layout reeds ; tightest place 1.2 mm", "2 pieces, blows out, set off by 20.32 mm, inner side",
		"Heron's Rest, fins shape-2 0.0 −1.0 ! 0.0 touch", "supply board main-24 300.0 350.0 280.0 too short", "supply card pcie-8 300.0 350.0 – none at hand",
		"Lay the board in.", "Opened again for it: fan.", "Mind the edges.", "4 × screw M3 x 5 (box of Reed Bed)", "1 × washer, to buy", "driver cross-2, 0.5 to 0.6 N·m",
		"memory Heron's Rest", "board on Reed Bed (standoffs) 4 × M3, 4 to 7 mm – 1", "Left over: 2 × screw M3 x 4 (box of Reed Bed)", "It cannot be put together by straight ways. a before b",
		"card die 87 (85 to 89) ! 88", "top room + 5 (3 to 7) –", "At the listener 26 (24 to 28) dB(A)", "grille: room to main 40 (38 to 42)", "Take the filter off. (−3 (−5 to −1) K, 0 (−2 to 2) dB)",
		"Sustained demand 280 (270 to 290) W, a lower bound: 1 figures are missing", "From the mains 300 W, 1.3 A", "12 V 20 60", "card pcie-8 12 V 4 of 8 11.9 44 return 3.9 – –",
		"card slot-1 generation 4, 16 lanes, 31.5 GB/s", "items[0].part.mass_g pond.depth", "The pond is wide enough.", "Handbook of ponds (from memory)",
		"Rules: pond 0.1.0; reed 0.2.0", "Ruleset abcdef0123456789", "8.62 kg", "Plan",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q:\n%s", want, page)
		}
	}
}

// An answer without facts makes a page without empty sections.
func TestBareAnswer(t *testing.T) {
	page := write(t, &v1.CheckResponse{}, Options{})
	doc := parse(t, page)
	for _, gone := range []string{"Drawing", "Order of assembly", "To buy", "Power", "Heat and sound", "Cables"} {
		if strings.Contains(words(doc), gone) {
			t.Errorf("a bare answer has a section %q", gone)
		}
	}
	if !strings.Contains(words(doc), "Build without a name") {
		t.Error("a build without a name has no heading")
	}
}

// Two items of one name are told apart by their ids.
func TestNamesAreToldApart(t *testing.T) {
	page := words(parse(t, write(t, full(), Options{Names: map[string]string{"cooler": "Heron", "fan": "Heron", "case": "Reed Bed"}})))
	for _, want := range []string{"Heron (cooler); Reed Bed", "Opened again for it: Heron (fan)."} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

func TestNumbersOnThePage(t *testing.T) {
	f := func(x float64) *float64 { return &x }
	for want, got := range map[string]string{
		"0": spanOf(f(-0.01), nil, nil, ""), "−1.5 (−2 to −1) K": spanOf(f(-1.5), f(-2), f(-1), "K"), "280 W": spanOf(f(280.4), f(280.4), f(280.4), "W"),
		"–": spanOf(nil, nil, nil, "W"), "−3.25": number(-3.25), "0.0": mm(f(-0.01)), "−1.0": mm(f(-1)),
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestSameAnswerSamePage(t *testing.T) {
	if a, b := write(t, full(), Options{}), write(t, full(), Options{}); a != b {
		t.Error("the same answer gave another page")
	}
}

// The page acts on nothing and reaches for nothing outside of itself.
func TestPageHoldsNoScriptAndNoReference(t *testing.T) {
	checkHarmless(t, parse(t, write(t, full(), Options{})))
	for _, bad := range []string{"@import", "http:", "https:", "url("} {
		if strings.Contains(styleText, bad) {
			t.Errorf("the style holds %q", bad)
		}
	}
}

func checkHarmless(t interface {
	Fatal(...any)
	Errorf(string, ...any)
}, doc *html.Node) {
	walk(doc, func(n *html.Node) {
		if n.Type != html.ElementNode {
			return
		}
		if slices.Contains([]string{"script", "link", "iframe", "object", "embed", "img", "base", "form", "foreignObject", "image", "video", "audio"}, n.Data) {
			t.Errorf("the page has an element %s", n.Data)
		}
		for _, a := range n.Attr {
			if strings.HasPrefix(strings.ToLower(a.Key), "on") {
				t.Errorf("%s has an attribute %s", n.Data, a.Key)
			}
			if (a.Key == "href" || a.Key == "src") && !strings.HasPrefix(a.Val, "#") {
				t.Errorf("%s refers to %q", n.Data, a.Val)
			}
		}
	})
}

// Headings go down one at a time, every table has headers that say what they head,
// every box to tick has a label, every id is there once, and the language is told.
func TestPageIsAccessible(t *testing.T) {
	doc := parse(t, write(t, full(), Options{}))
	ids, labels, boxes, level := map[string]int{}, map[string]bool{}, []string{}, 0
	var links []string
	attr := func(n *html.Node, key string) string {
		for _, a := range n.Attr {
			if a.Key == key {
				return a.Val
			}
		}
		return ""
	}
	walk(doc, func(n *html.Node) {
		if n.Type != html.ElementNode {
			return
		}
		if id := attr(n, "id"); id != "" {
			ids[id]++
		}
		switch n.Data {
		case "html":
			if attr(n, "lang") == "" {
				t.Error("the language is not told")
			}
		case "h1", "h2", "h3":
			if now := int(n.Data[1] - '0'); now > level+1 {
				t.Errorf("a heading of level %d comes after level %d", now, level)
			} else {
				level = now
			}
		case "th":
			if attr(n, "scope") == "" {
				t.Error("a header cell does not say what it heads")
			}
		case "table":
			heads := 0
			walk(n, func(c *html.Node) {
				if c.Data == "thead" {
					heads++
				}
			})
			if heads != 1 {
				t.Errorf("a table has %d heads", heads)
			}
		case "input":
			boxes = append(boxes, attr(n, "id"))
		case "a":
			links = append(links, strings.TrimPrefix(attr(n, "href"), "#"))
		case "label":
			labels[attr(n, "for")] = true
		}
	})
	for id, n := range ids {
		if n > 1 {
			t.Errorf("id %s is there %d times", id, n)
		}
	}
	if len(boxes) != 3 {
		t.Errorf("%d boxes to tick, want one step and two things to buy", len(boxes))
	}
	if len(links) == 0 {
		t.Error("nothing on the page leads to what settles or is settled")
	}
	for _, id := range links {
		if ids[id] != 1 {
			t.Errorf("a link leads to %s, which is there %d times", id, ids[id])
		}
	}
	for _, id := range boxes {
		if !labels[id] {
			t.Errorf("box %s has no label", id)
		}
	}
	walk(doc, func(n *html.Node) {
		if by := attr(n, "aria-labelledby"); by != "" && n.Data == "section" && ids[by] != 1 {
			t.Errorf("a section is named by %s, which is not there", by)
		}
	})
}

// Whatever any text of an answer holds, it stays text: the page has the same
// elements as with harmless words.
func TestAnyTextStaysText(t *testing.T) {
	nasty := []string{
		`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `</style><script>`, `javascript:alert(1)`, `{{.}}`, `<!--`, `]]>`, `&lt;b&gt;`,
		"\u202egnp.exe", "\x00\x1b[31m", `' onmouseover='x`, `</td></table>`, `<svg onload=x>`, "\ufeff", strings.Repeat("<", 300),
	}
	shape := skeleton(parse(t, write(t, full(), Options{Title: "x", Names: map[string]string{"cooler": "y"}})))
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.SampledFrom(nasty), rapid.StringN(1, 40, 80))
		answer := full()
		replaceTexts(answer.ProtoReflect(), func() string { return text.Draw(t, "text") + "x" })
		page := write(t, answer, Options{Title: text.Draw(t, "title"), Names: map[string]string{"cooler": text.Draw(t, "name")}})
		doc := parse(t, page)
		checkHarmless(t, doc)
		if got := skeleton(doc); got != shape {
			t.Fatalf("the page has other elements:\n%s\nwant\n%s", got, shape)
		}
	})
}

// skeleton counts the page's elements, without rows and words, which come or go
// with whether two texts are the same.
func skeleton(doc *html.Node) string {
	counts := map[string]int{}
	walk(doc, func(n *html.Node) {
		if n.Type == html.ElementNode {
			counts[n.Data]++
		}
	})
	var b strings.Builder
	for _, name := range []string{"table", "section", "h1", "h2", "h3", "script", "style", "svg", "input", "label", "header", "main", "figure", "img", "thead"} {
		b.WriteString(name + " " + string(rune('0'+counts[name]%64)) + " ")
	}
	return b.String()
}

// replaceTexts puts other texts in place of all but the pictures and fact names.
func replaceTexts(m protoreflect.Message, next func() string) {
	m.Range(func(f protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		switch {
		case f.Name() == "svg" || f.FullName() == "slipfit.v1.Fact.name":
		case f.Kind() == protoreflect.StringKind && f.IsList():
			for i := range v.List().Len() {
				v.List().Set(i, protoreflect.ValueOfString(next()))
			}
		case f.Kind() == protoreflect.StringKind:
			m.Set(f, protoreflect.ValueOfString(next()))
		case f.Message() != nil && f.IsList():
			for i := range v.List().Len() {
				replaceTexts(v.List().Get(i).Message(), next)
			}
		case f.Message() != nil:
			replaceTexts(v.Message(), next)
		}
		return true
	})
}

// A picture is taken over only where it is plain graphics.
func TestPicturesThatCouldActAreLeftOut(t *testing.T) {
	wrap := func(inside string) string {
		return `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">` + inside + `</svg>`
	}
	for _, bad := range []string{
		"", "no picture", `<html/>`, wrap(`<script>x</script>`), wrap(`<g onclick="x"/>`), wrap(`<a href="http://example.invalid"/>`),
		wrap(`<image href="x.png"/>`), wrap(`<use xlink:href="http://example.invalid#a"/>`), wrap(`<style>@import "x";</style>`),
		wrap(`<style>.a{fill:url(http://example.invalid)}</style>`), wrap(`<rect style="fill:url('//x')"/>`), wrap(`<foreignObject/>`), wrap(`<style>.a{b:\75rl(x)}</style>`),
		`<!DOCTYPE svg [<!ENTITY a "b">]>` + wrap(""), wrap(`<g>`), wrap("") + wrap(""), wrap(`<animate/>`), wrap(`<set attributeName="href" to="javascript:x"/>`), `<?xml-stylesheet href="x"?>` + wrap(""),
	} {
		if err := checkGraphics(bad); err == nil {
			t.Errorf("taken over: %s", bad)
		}
		if p := pictureOf(&v1.Picture{Svg: &bad}); p != nil {
			t.Errorf("on the page: %s", bad)
		}
	}
	good := wrap(`<title>Plan</title><defs><pattern id="b"/></defs><style>.a{fill:url(#b)}</style><use xlink:href="#b"/><text x="1">A &amp; B</text>`)
	if err := checkGraphics(good); err != nil {
		t.Error(err)
	}
}

func FuzzPicturesStayHarmless(f *testing.F) {
	f.Add(`<svg xmlns="http://www.w3.org/2000/svg"><rect onload="x"/></svg>`)
	f.Add(`<svg><style>a{b:url(#c)}</style><text>&lt;script&gt;</text></svg>`)
	f.Fuzz(func(t *testing.T, svg string) {
		answer := &v1.CheckResponse{Facts: []*v1.Fact{{Name: proto.String("clearance.drawing"), Content: &v1.Fact_Picture{Picture: &v1.Picture{Svg: &svg}}}}}
		checkHarmless(t, parse(t, write(t, answer, Options{})))
	})
}
