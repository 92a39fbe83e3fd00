package kit

import (
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/standards"
)

var (
	packName      = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)
	ruleName      = regexp.MustCompile(`^[a-z][a-z0-9-]*\.[a-z][a-z0-9-]*$`)
	parameterName = regexp.MustCompile(`^[a-z][a-z0-9-]*(\.[a-z][a-z0-9_-]*)+$`)
	releaseName   = regexp.MustCompile(`^[0-9]+\.[0-9]+\.[0-9]+(-[0-9A-Za-z.-]+)?(\+[0-9A-Za-z.-]+)?$`)
	textKey       = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)
)

// Check reports everything in the catalogue that a reader, a translator or a
// policy's author would stumble on. A pack that does not pass does not start.
func (p *Pack) Check() error {
	var errs []error
	complain := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	if !packName.MatchString(p.Name) {
		complain("pack name %q is not one lower-case word", p.Name)
	}
	if !releaseName.MatchString(p.Version) {
		complain("pack %s: version %q is not a semantic version", p.Name, p.Version)
	}
	if !isSentence(p.Purpose) {
		complain("pack %s: purpose is not a sentence", p.Name)
	}
	if len(p.Rules) == 0 {
		complain("pack %s has no rules", p.Name)
	}
	for _, fact := range p.Wants {
		if !slices.Contains(p.Needs, fact) {
			complain("pack %s wants the fact %s and does not need it", p.Name, fact)
		}
	}
	seen := map[string]bool{}
	for i := range p.Rules {
		r := &p.Rules[i]
		if seen[r.ID] {
			complain("rule %s stands twice in pack %s", r.ID, p.Name)
		}
		seen[r.ID] = true
		if i > 0 && p.Rules[i-1].Overall && !r.Overall {
			complain("rule %s stands after an overall rule; overall rules come last", r.ID)
		}
		errs = append(errs, r.check(p.Name)...)
	}
	return errors.Join(errs...)
}

func (r *Rule) check(pack string) []error {
	var errs []error
	complain := func(format string, args ...any) {
		errs = append(errs, fmt.Errorf("rule %s: "+format, append([]any{r.ID}, args...)...))
	}
	if !ruleName.MatchString(r.ID) || !strings.HasPrefix(r.ID, pack+".") {
		complain("name is not %s.<words>", pack)
	}
	if r.Title == "" || strings.HasSuffix(r.Title, ".") {
		complain("title is empty or ends in a full stop")
	}
	if !isSentence(r.Why) || !isSentence(r.Formula) {
		complain("why and formula must be whole sentences")
	}
	if !releaseName.MatchString(r.Since) {
		complain("since %q is not a semantic version", r.Since)
	}
	if r.Judge == nil {
		complain("has no judgement")
	}
	if len(r.Sources) == 0 {
		complain("names no source; use kit.CommonPractice where there is none")
	}
	for _, s := range r.Sources {
		if s.ID == "" || s.Title == "" {
			complain("has a source without id or title")
		}
	}
	if r.Alone && len(r.UsesFacts) > 0 {
		complain("judges by the build alone and uses facts")
	}
	if len(r.Reads) == 0 && len(r.UsesFacts) == 0 {
		complain("neither reads fields nor uses facts")
	}
	for _, key := range []string{"pass", "fail", "unknown"} {
		if r.Texts[key] == "" {
			complain("has no text for %q", key)
		}
	}
	for _, texts := range []map[string]string{r.Texts, r.Remedies, r.Cautions} {
		for _, key := range slices.Sorted(maps.Keys(texts)) {
			if !textKey.MatchString(key) {
				complain("text key %q is not lower-case words joined by hyphens", key)
			}
			if !isSentence(texts[key]) {
				complain("text %q is not a sentence: %s", key, texts[key])
			}
			if _, err := parseTemplate(texts[key]); err != nil {
				complain("text %q: %w", key, err)
			}
		}
	}
	for _, p := range r.Parameters {
		errs = append(errs, p.check(r.ID)...)
	}
	return errs
}

func (p *Parameter) check(rule string) []error {
	var errs []error
	complain := func(format string, args ...any) {
		errs = append(errs, fmt.Errorf("parameter %s: "+format, append([]any{p.Name}, args...)...))
	}
	if !parameterName.MatchString(p.Name) ||
		(!strings.HasPrefix(p.Name, rule+".") && !strings.HasPrefix(p.Name, "tolerance.")) {
		complain("name is neither %s.<word> nor tolerance.<word>", rule)
	}
	if !(p.Least <= p.Default && p.Default <= p.Greatest) {
		complain("default %g is not within %g to %g", p.Default, p.Least, p.Greatest)
	}
	if !isSentence(p.Purpose) {
		complain("purpose is not a sentence")
	}
	if p.Source.ID == "" {
		complain("default has no source")
	}
	return errs
}

func isSentence(s string) bool {
	if len(s) < 8 || !strings.HasSuffix(s, ".") {
		return false
	}
	first := s[0]
	return first == '{' || first >= 'A' && first <= 'Z' || first >= '0' && first <= '9'
}

// describe turns the rule into its published description.
func (r *Rule) describe(pack, version string) *v1.Rule {
	out := &v1.Rule{
		Id: &r.ID, Title: &r.Title, Why: &r.Why, Formula: &r.Formula, Since: &r.Since,
		Reads: r.Reads, UsesFacts: r.UsesFacts, Pack: &pack, Version: &version,
	}
	for _, p := range r.Parameters {
		out.Parameters = append(out.Parameters, &v1.Parameter{
			Name: &p.Name, Unit: &p.Unit, DefaultValue: &p.Default, Least: &p.Least, Greatest: &p.Greatest,
			Purpose: &p.Purpose, Source: describeSource(p.Source),
		})
	}
	for _, s := range r.Sources {
		out.Sources = append(out.Sources, describeSource(s))
	}
	for _, group := range []struct {
		prefix string
		texts  map[string]string
	}{{"", r.Texts}, {"remedy.", r.Remedies}, {"caution.", r.Cautions}} {
		for _, key := range slices.Sorted(maps.Keys(group.texts)) {
			full, text := r.ID+"."+group.prefix+key, group.texts[key]
			out.Templates = append(out.Templates, &v1.Template{Key: &full, Text: &text})
		}
	}
	return out
}

func describeSource(s standards.Source) *v1.Source {
	id, title, standing := s.ID, s.Title, s.Standing.String()
	if s.Clause != "" {
		title += ", " + s.Clause
	}
	return &v1.Source{Id: &id, Title: &title, Standing: &standing}
}
