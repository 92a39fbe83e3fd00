// Package report writes an answer for people: the verdict first, then what fails,
// what is tight, what is unknown and how to find out, then what passes in one line
// each.
package report

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Options say how to write.
type Options struct {
	// Width is the number of columns to fill. Below 40 counts as 40.
	Width int
	// Colour adds terminal colours. Words always say the same.
	Colour bool
	// Evidence adds inputs, formula and sources to what passes too.
	Evidence bool
	// Title is what the build is called for people.
	Title string
	// File is where it was read.
	File string
	// Place tells where a document path stands in the file, empty where unknown.
	Place func(path string) string
}

// section is one group of findings.
type section struct {
	verdict v1.Verdict
	heading string
}

// sections in the order in which a person wants to know.
var sections = [...]section{
	{v1.Verdict_VERDICT_FAIL, "What fails"},
	{v1.Verdict_VERDICT_MARGINAL, "What is tight"},
	{v1.Verdict_VERDICT_UNKNOWN, "What is unknown"},
	{v1.Verdict_VERDICT_PASS, "What passes"},
}

// Write writes one answer.
func Write(to io.Writer, answer *v1.CheckResponse, options Options) error {
	w := &writer{out: bufio.NewWriter(to), options: options}
	w.options.Width = max(40, options.Width)
	w.headline(answer)
	for _, s := range sections {
		var findings []*v1.Finding
		for _, f := range answer.Findings {
			if f.GetVerdict() == s.verdict {
				findings = append(findings, f)
			}
		}
		if s.verdict != v1.Verdict_VERDICT_PASS {
			slices.SortStableFunc(findings, byShortfall)
		}
		w.section(s, findings)
	}
	w.footer(answer)
	return w.out.Flush()
}

// byShortfall puts the worst share of a requirement first.
func byShortfall(a, b *v1.Finding) int { return cmp.Compare(spare(a), spare(b)) }

// spare is the margin as a share of the requirement, 0 where nothing is measured.
func spare(f *v1.Finding) float64 {
	required := f.GetRequired().GetNominal()
	if f.Margin == nil || required == 0 {
		return 0
	}
	return f.GetMargin().GetNominal() / max(required, -required)
}

type writer struct {
	out     *bufio.Writer
	options Options
}

func (w *writer) headline(answer *v1.CheckResponse) {
	counts := map[v1.Verdict]int{}
	for _, f := range answer.Findings {
		counts[f.GetVerdict()]++
	}
	name := Plain(cmp.Or(w.options.Title, answer.GetBuildId(), w.options.File, "build"))
	w.line(w.paint(answer.GetVerdict(), Word(answer.GetVerdict())) + "  " + w.bold(name))
	var parts []string
	for _, s := range sections {
		if n := counts[s.verdict]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, strings.ToLower(Word(s.verdict))))
		}
	}
	w.wrapped("", "", meaning(answer.GetVerdict())+" ("+strings.Join(parts, ", ")+")")
	if note := footnote(answer); note != "" {
		w.wrapped("", "", note)
	}
}

func meaning(v v1.Verdict) string {
	switch v {
	case v1.Verdict_VERDICT_PASS:
		return "These parts go together."
	case v1.Verdict_VERDICT_MARGINAL:
		return "These parts go together, but not with certainty everywhere."
	case v1.Verdict_VERDICT_UNKNOWN:
		return "Nothing fails, but something is not known."
	default:
		return "These parts do not go together as they stand."
	}
}

// footnote says when a pack did not take part.
func footnote(answer *v1.CheckResponse) string {
	var silent []string
	for _, p := range answer.GetRuleset().GetPacks() {
		if !p.GetAnswered() {
			silent = append(silent, p.GetName())
		}
	}
	if len(silent) == 0 {
		return ""
	}
	return "Without the rules of: " + strings.Join(silent, ", ") + "."
}

func (w *writer) section(s section, findings []*v1.Finding) {
	if len(findings) == 0 {
		return
	}
	w.line("")
	w.line(w.bold(fmt.Sprintf("%s (%d)", s.heading, len(findings))))
	label := Word(s.verdict)
	pack := ""
	for _, f := range findings {
		// What passes is long; the packs' names part it.
		if s.verdict == v1.Verdict_VERDICT_PASS && f.GetPack() != pack {
			pack = f.GetPack()
			w.line("  " + w.bold(Plain(pack)))
		}
		indent := strings.Repeat(" ", len(label)+4)
		w.wrapped("  "+w.paint(s.verdict, label)+"  ", indent, Plain(f.GetSummary().GetText()))
		w.details(f, indent, s.verdict)
	}
}

func (w *writer) details(f *v1.Finding, indent string, verdict v1.Verdict) {
	item := func(label, text string) {
		w.wrapped(indent+label+" ", indent+strings.Repeat(" ", len(label)+1), Plain(text))
	}
	for i, r := range f.Remedies {
		label := "Do:"
		if i > 0 {
			label = "Or:"
		}
		item(label, r.GetAction().GetText())
	}
	for _, path := range f.Missing {
		where := path
		if w.options.Place != nil {
			if at := w.options.Place(path); at != "" {
				where += " (" + at + ")"
			}
		}
		item("Missing:", where)
	}
	for _, fact := range f.MissingFacts {
		item("Missing:", "what another pack works out: "+fact)
	}
	if f.Caution != nil {
		item("Caution:", f.GetCaution().GetText())
	}
	if verdict == v1.Verdict_VERDICT_FAIL || verdict == v1.Verdict_VERDICT_MARGINAL || w.options.Evidence {
		w.evidence(f, item)
	}
}

func (w *writer) evidence(f *v1.Finding, item func(label, text string)) {
	var parts []string
	for _, in := range f.Inputs {
		part := in.GetPath() + " = " + Number(in.GetValue())
		if in.GetAssumed() {
			part += " (assumed)"
		}
		parts = append(parts, part)
	}
	if len(parts) > 0 {
		item("From:", strings.Join(parts, "; "))
	}
	var titles []string
	for _, s := range f.Sources {
		title := s.GetTitle()
		if standing := s.GetStanding(); standing != "published" && standing != "" {
			title += " (" + standing + ")"
		}
		titles = append(titles, title)
	}
	rule := f.GetRule()
	if len(titles) > 0 {
		rule += ", by " + strings.Join(titles, "; ")
	}
	item("Rule:", rule)
}

func (w *writer) footer(answer *v1.CheckResponse) {
	rs := answer.GetRuleset()
	if rs == nil {
		return
	}
	var packs []string
	for _, p := range rs.Packs {
		packs = append(packs, p.GetName()+" "+p.GetVersion())
	}
	digest := rs.GetDigest()
	w.line("")
	w.wrapped("", "", "Ruleset "+digest[:min(12, len(digest))]+": "+strings.Join(packs, ", ")+".")
}

func (w *writer) line(s string) {
	_, _ = w.out.WriteString(s) // Flush tells the error
	_ = w.out.WriteByte('\n')
}

// wrapped writes text in lines of the width, the first after first, the others
// after rest.
func (w *writer) wrapped(first, rest, text string) {
	room := w.options.Width - visible(rest)
	var line strings.Builder
	prefix := first
	width := 0
	for _, word := range broken(strings.Fields(text), room) {
		n := visible(word)
		if width > 0 && width+1+n > room {
			w.line(prefix + line.String())
			line.Reset()
			prefix, width = rest, 0
		}
		if width > 0 {
			line.WriteByte(' ')
			width++
		}
		line.WriteString(word)
		width += n
	}
	w.line(prefix + line.String())
}

// broken cuts words that are wider than the room, as long paths are.
func broken(words []string, room int) []string {
	out := words[:0:0]
	for _, word := range words {
		for letters := []rune(word); len(letters) > room; letters = []rune(word) {
			out = append(out, string(letters[:room]))
			word = string(letters[room:])
		}
		out = append(out, word)
	}
	return out
}
