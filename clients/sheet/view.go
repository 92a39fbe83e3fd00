package sheet

import (
	"cmp"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

// view is the page as plain words.
type view struct {
	Title, BuildID, Made string
	Verdict, Mark        string // the word, and the class that draws its stamp
	Meaning              string
	Counts               []count
	Silent               []string // packs that did not answer
	Settle, Passes       []finding
	Unknown              []missing
	Arrangement          *arrangement
	Drawing, Chart       *picture
	Cables               []cable
	Assembly             *assembly
	Forecast             *forecast
	Settings             *settings
	Power                *power
	Links                []link
	Sources              []source
	Digest               string
	Packs                []string

	names  map[string]string // none twice
	shapes map[string]string
}

type count struct {
	N    int
	Word string
}

type finding struct {
	Number              int // in the list of what is to be settled; 0: it is not there
	ID                  string
	Verdict, Mark, Rule string
	subjects            []string
	About               []string
	Text                string
	Remedies            []string
	Caution             string
	Margin              string
}

type missing struct {
	Path string
	Why  []string
}

type picture struct {
	SVG template.HTML // checked to be plain graphics
}

type source struct{ Title, Standing string }

// order is how bad a verdict is, worst first.
var order = map[v1.Verdict]int{
	v1.Verdict_VERDICT_FAIL: 0, v1.Verdict_VERDICT_MARGINAL: 1, v1.Verdict_VERDICT_UNKNOWN: 2, v1.Verdict_VERDICT_PASS: 3,
}

// read turns an answer into words.
func read(answer *v1.CheckResponse, o Options) *view {
	v := &view{
		Title: plain(cmp.Or(o.Title, answer.GetBuildId(), "Build without a name")), BuildID: plain(answer.GetBuildId()), Made: plain(o.Made),
		Verdict: word(answer.GetVerdict()), Mark: mark(answer.GetVerdict()), Meaning: meaning(answer.GetVerdict()),
		names: distinct(o.Names), shapes: map[string]string{},
	}
	v.readFindings(answer.GetFindings())
	v.readRuleset(answer.GetRuleset())
	for _, f := range answer.GetFacts() {
		v.readFact(f)
	}
	return v
}

func (v *view) readFact(f *v1.Fact) {
	switch c := f.GetContent().(type) {
	case *v1.Fact_Arrangement:
		v.readArrangement(c.Arrangement)
	case *v1.Fact_Picture:
		p := pictureOf(c.Picture)
		if f.GetName() == "clearance.drawing" {
			v.Drawing = p
		} else if v.Chart == nil {
			v.Chart = p
		}
	case *v1.Fact_Assembly:
		v.readAssembly(c.Assembly)
	case *v1.Fact_Forecast:
		v.readForecast(c.Forecast)
	case *v1.Fact_Settings:
		v.readSettings(c.Settings)
	case *v1.Fact_Demand:
		v.readDemand(c.Demand)
	case *v1.Fact_Circuit:
		v.readCircuit(c.Circuit)
	case *v1.Fact_Links:
		v.readLinks(c.Links)
	}
}

func (v *view) readFindings(list []*v1.Finding) {
	counts := map[v1.Verdict]int{}
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b *v1.Finding) int { return cmp.Compare(order[a.GetVerdict()], order[b.GetVerdict()]) })
	for _, f := range sorted {
		counts[f.GetVerdict()]++
		out := v.finding(f)
		if f.GetVerdict() == v1.Verdict_VERDICT_PASS {
			v.Passes = append(v.Passes, out)
		} else {
			out.Number = len(v.Settle) + 1
			out.ID = "finding-" + strconv.Itoa(out.Number)
			v.Settle = append(v.Settle, out)
		}
		v.readMissing(f)
		v.readSources(f)
	}
	for _, verdict := range [...]v1.Verdict{v1.Verdict_VERDICT_FAIL, v1.Verdict_VERDICT_MARGINAL, v1.Verdict_VERDICT_UNKNOWN, v1.Verdict_VERDICT_PASS} {
		if counts[verdict] > 0 {
			v.Counts = append(v.Counts, count{counts[verdict], strings.ToLower(word(verdict))})
		}
	}
	slices.SortStableFunc(v.Sources, func(a, b source) int { return cmp.Compare(a.Title, b.Title) })
}

func (v *view) finding(f *v1.Finding) finding {
	out := finding{
		Verdict: word(f.GetVerdict()), Mark: mark(f.GetVerdict()), Rule: plain(f.GetRule()),
		Text: plain(f.GetSummary().GetText()), Caution: plain(f.GetCaution().GetText()), subjects: f.GetSubjects(),
	}
	for _, s := range f.GetSubjects() {
		if name := v.name(s); !slices.Contains(out.About, name) {
			out.About = append(out.About, name)
		}
	}
	for _, r := range f.GetRemedies() {
		out.Remedies = append(out.Remedies, plain(r.GetAction().GetText()))
	}
	if m := f.GetMargin(); m != nil && m.GetUnit() != "" {
		out.Margin = plain(report.Number(&v1.Quantity{Nominal: m.Nominal, Low: m.Nominal, High: m.Nominal, Unit: m.Unit}))
	}
	return out
}

// settledBy is the place in the list of what is to be settled of the finding that a
// purchase settles, 0 for none.
func (v *view) settledBy(p *v1.Purchase) int {
	for _, f := range v.Settle {
		if f.Rule == plain(p.GetRule()) && f.Rule != "" && holdsAll(f.subjects, p.GetItems()) {
			return f.Number
		}
	}
	return 0
}

func holdsAll(list, of []string) bool {
	return !slices.ContainsFunc(of, func(s string) bool { return !slices.Contains(list, s) })
}

func (v *view) readMissing(f *v1.Finding) {
	for _, path := range append(slices.Clone(f.GetMissing()), f.GetMissingFacts()...) {
		i := slices.IndexFunc(v.Unknown, func(m missing) bool { return m.Path == plain(path) })
		if i < 0 {
			v.Unknown = append(v.Unknown, missing{Path: plain(path)})
			i = len(v.Unknown) - 1
		}
		if rule := plain(f.GetRule()); !slices.Contains(v.Unknown[i].Why, rule) {
			v.Unknown[i].Why = append(v.Unknown[i].Why, rule)
		}
	}
}

func (v *view) readSources(f *v1.Finding) {
	for _, s := range f.GetSources() {
		if out := (source{plain(s.GetTitle()), plain(s.GetStanding())}); !slices.Contains(v.Sources, out) {
			v.Sources = append(v.Sources, out)
		}
	}
}

func (v *view) readRuleset(r *v1.Ruleset) {
	v.Digest = plain(r.GetDigest())
	for _, p := range r.GetPacks() {
		v.Packs = append(v.Packs, plain(p.GetName()+" "+p.GetVersion()))
		if !p.GetAnswered() {
			v.Silent = append(v.Silent, plain(p.GetName()))
		}
	}
}

// name is what people call an item.
func (v *view) name(id string) string { return plain(cmp.Or(v.names[id], id)) }

// distinct are names by which items are told apart: where two bear one name, the
// id follows it.
func distinct(names map[string]string) map[string]string {
	bearers := map[string]int{}
	for _, name := range names {
		bearers[name]++
	}
	out := make(map[string]string, len(names))
	for id, name := range names {
		if bearers[name] > 1 {
			name += " (" + id + ")"
		}
		out[id] = name
	}
	return out
}

// plain makes what would steer a reader's eye visible; html/template sees to markup.
func plain(s string) string { return report.Plain(s) }

func word(v v1.Verdict) string {
	if v == v1.Verdict_VERDICT_UNSPECIFIED {
		return "NO VERDICT"
	}
	return plain(report.Word(v))
}

func mark(v v1.Verdict) string {
	switch v {
	case v1.Verdict_VERDICT_PASS:
		return "pass"
	case v1.Verdict_VERDICT_MARGINAL:
		return "marginal"
	case v1.Verdict_VERDICT_FAIL:
		return "fail"
	default:
		return "unknown"
	}
}

// meaning is a verdict in a sentence for somebody who stands at the bench.
func meaning(v v1.Verdict) string {
	switch v {
	case v1.Verdict_VERDICT_PASS:
		return "Every part goes in, and nothing is left open."
	case v1.Verdict_VERDICT_MARGINAL:
		return "Every part goes in by its figures; what is tight is listed first."
	case v1.Verdict_VERDICT_FAIL:
		return "These parts do not go together as they stand. Settle what fails before anything is bought or opened."
	case v1.Verdict_VERDICT_UNKNOWN:
		return "Nothing fails, but not everything could be judged: figures are missing."
	default:
		return "No verdict was given."
	}
}
