package server_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"
	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

// metricRow is what is told of one metric.
type metricRow struct {
	kind, labels, meaning, alert string
}

// metricsInSource are the names in the constants of metrics.go.
func metricsInSource(t *testing.T) []string {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "metrics.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		for i, name := range spec.Names {
			if !strings.HasPrefix(name.Name, "metric") || i >= len(spec.Values) {
				continue
			}
			if literal, ok := spec.Values[i].(*ast.BasicLit); ok && literal.Kind == token.STRING {
				value, err := strconv.Unquote(literal.Value)
				if err != nil {
					t.Fatal(err)
				}
				names = append(names, value)
			}
		}
		return true
	})
	slices.Sort(names)
	return names
}

// metricsInTable are the rows of metrics.md.
func metricsInTable(t *testing.T) map[string]metricRow {
	t.Helper()
	text, err := os.ReadFile("metrics.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]metricRow{}
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.TrimSpace(line), "|")
		if len(cells) < 3 || !strings.HasPrefix(strings.TrimSpace(cells[1]), "`") {
			continue
		}
		if len(cells) != 7 {
			t.Fatalf("row of %d cells in metrics.md: %s", len(cells)-2, line)
		}
		for i := range cells {
			cells[i] = strings.ReplaceAll(strings.TrimSpace(cells[i]), "`", "")
		}
		if _, twice := rows[cells[1]]; twice {
			t.Errorf("metrics.md explains %s twice", cells[1])
		}
		rows[cells[1]] = metricRow{kind: cells[2], labels: cells[3], meaning: cells[4], alert: cells[5]}
	}
	return rows
}

// metricsInRegistry are the service's own metrics as it serves them, with the
// names of the labels of every series.
func metricsInRegistry(t *testing.T, s *server.Server) map[string]metricRow {
	t.Helper()
	text := expfmt.NewTextParser(model.LegacyValidation)
	parsed, err := text.TextToMetricFamilies(strings.NewReader(metricsText(t, s)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]metricRow{}
	for name, family := range parsed {
		if !strings.HasPrefix(name, "slipfit_") {
			continue
		}
		row := metricRow{kind: strings.ToLower(family.GetType().String()), meaning: family.GetHelp()}
		for i, m := range family.Metric {
			var labels []string
			for _, l := range m.Label {
				labels = append(labels, l.GetName())
			}
			slices.Sort(labels)
			if i > 0 && row.labels != strings.Join(labels, ", ") {
				t.Errorf("series of %s have the labels %s and %s", name, row.labels, strings.Join(labels, ", "))
			}
			row.labels = strings.Join(labels, ", ")
		}
		out[name] = row
	}
	return out
}

func TestMetricsAreThoseThatTheTableExplains(t *testing.T) {
	noLeaks(t)
	// One candidate flips a verdict, and one moves a margin: the metrics of both are
	// those of any.
	flips, moves := start(t, shadowed("limited", limit(9))), start(t, shadowed("limited", limit(2)))
	for _, s := range []*server.Server{flips, moves} {
		if _, err := v1.NewCheckServiceClient(connect(t, s)).Check(soon(t), plainCheck("one")); err != nil {
			t.Fatal(err)
		}
		eventually(t, "the candidate has judged", func() bool { return now(t, s, "slipfit_shadow_checks_total") == 1 })
	}
	table, registry := metricsInTable(t), metricsInRegistry(t, flips)
	maps.Copy(registry, metricsInRegistry(t, moves))
	names := metricsInSource(t)
	if got := slices.Sorted(maps.Keys(table)); !slices.Equal(got, names) {
		t.Errorf("metrics.md explains %v, the code names %v", got, names)
	}
	if got := slices.Sorted(maps.Keys(registry)); !slices.Equal(got, names) {
		t.Errorf("the service serves %v, the code names %v", got, names)
	}
	for name, row := range table {
		served := registry[name]
		labels := strings.Split(row.labels, ", ")
		slices.Sort(labels)
		if row.kind != served.kind || strings.Join(labels, ", ") != served.labels {
			t.Errorf("%s is a %s with labels %q in metrics.md, and served as a %s with %q", name, row.kind, row.labels, served.kind, served.labels)
		}
		if row.meaning == "" || served.meaning == "" {
			t.Errorf("%s is explained as %q in metrics.md and %q to Prometheus", name, row.meaning, served.meaning)
		}
		if strings.HasSuffix(name, "_total") != (row.kind == "counter") {
			t.Errorf("%s is a %s; a counter's name, and no other, ends in _total", name, row.kind)
		}
	}
}

// alert is one alerting rule of Prometheus.
type alert struct {
	Alert       string            `yaml:"alert"`
	Expr        string            `yaml:"expr"`
	For         string            `yaml:"for"`
	Labels      map[string]string `yaml:"labels"`
	Annotations map[string]string `yaml:"annotations"`
}

func alerts(t *testing.T) []alert {
	t.Helper()
	data, err := os.ReadFile("../deploy/prometheus/alerts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Groups []struct {
			Name  string  `yaml:"name"`
			Rules []alert `yaml:"rules"`
		} `yaml:"groups"`
	}
	decoder := yaml.NewDecoder(strings.NewReader(string(data)))
	decoder.KnownFields(true)
	if err := decoder.Decode(&file); err != nil {
		t.Fatal(err)
	}
	var out []alert
	for _, g := range file.Groups {
		out = append(out, g.Rules...)
	}
	return out
}

var (
	metricName = regexp.MustCompile(`slipfit_[a-z0-9_]+`)
	selector   = regexp.MustCompile(`([a-z_]+)\s*(?:=~|!~|!=|=)\s*"`)
	grouping   = regexp.MustCompile(`by \(([a-z_, ]+)\)`)
	templated  = regexp.MustCompile(`\$labels\.([a-z_]+)`)
)

// Every alert watches what there is, and the table names every alert.
func TestAlertsWatchMetricsThatExist(t *testing.T) {
	table := metricsInTable(t)
	watched := map[string][]string{} // metric -> alerts
	for _, a := range alerts(t) {
		if a.For == "" || a.Labels["severity"] == "" || a.Annotations["summary"] == "" || a.Annotations["description"] == "" {
			t.Errorf("%s lacks a time, a severity, a summary or a description", a.Alert)
		}
		labels := []string{"le", "instance"} // these two are Prometheus's own
		found := metricName.FindAllString(a.Expr, -1)
		for _, name := range found {
			row, ok := table[name]
			if !ok {
				base := strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(name, "_bucket"), "_sum"), "_count")
				if row, ok = table[base]; !ok || row.kind != "histogram" {
					t.Errorf("%s watches %s, which does not exist", a.Alert, name)
				}
				name = base
			}
			labels = append(labels, strings.Split(row.labels, ", ")...)
			if !slices.Contains(watched[name], a.Alert) {
				watched[name] = append(watched[name], a.Alert)
			}
		}
		if len(found) == 0 {
			t.Errorf("%s watches nothing of the service", a.Alert)
		}
		for _, used := range labelsUsed(a) {
			if !slices.Contains(labels, used) {
				t.Errorf("%s uses the label %s; its metrics have %v", a.Alert, used, labels)
			}
		}
	}
	for name, row := range table {
		if got := strings.Join(watched[name], ", "); got != row.alert {
			t.Errorf("metrics.md says that %q watch %s, but %q do", row.alert, name, got)
		}
	}
}

func labelsUsed(a alert) []string {
	var out []string
	for _, m := range selector.FindAllStringSubmatch(a.Expr, -1) {
		out = append(out, m[1])
	}
	for _, m := range grouping.FindAllStringSubmatch(a.Expr, -1) {
		out = append(out, strings.Split(m[1], ", ")...)
	}
	for _, text := range a.Annotations {
		for _, m := range templated.FindAllStringSubmatch(text, -1) {
			out = append(out, m[1])
		}
	}
	return out
}

// The counters of verdicts move by what the answer says.
func TestMetricsCountTheVerdictsOfTheAnswer(t *testing.T) {
	noLeaks(t)
	s := start(t, server.Config{})
	client := v1.NewCheckServiceClient(connect(t, s))
	for name, check := range demoRequests(t) {
		before := samples(t, metricsText(t, s))
		answer, err := client.Check(soon(t), check)
		if err != nil {
			t.Fatal(err)
		}
		want := map[string]float64{}
		for _, f := range answer.Findings {
			verdict := strings.ToLower(strings.TrimPrefix(f.GetVerdict().String(), "VERDICT_"))
			want[fmt.Sprintf("slipfit_rule_verdicts_total{pack=%q,rule=%q,verdict=%q}", f.GetPack(), f.GetRule(), verdict)]++
		}
		for sample, value := range samples(t, metricsText(t, s)) {
			if !strings.HasPrefix(sample, "slipfit_rule_verdicts_total{") {
				continue
			}
			if moved := value - before[sample]; moved != want[sample] {
				t.Errorf("%s: %s moved by %v, the answer has %v", name, sample, moved, want[sample])
			}
			delete(want, sample)
		}
		for sample := range want {
			t.Errorf("%s: %s is not counted", name, sample)
		}
	}
	if got := now(t, s, "slipfit_requests_total", v1.CheckService_Check_FullMethodName, `code="OK"`); got != float64(len(demoRequests(t))) {
		t.Errorf("%v requests are counted", got)
	}
}

// Nothing that a caller writes becomes a label, or stands anywhere in the metrics.
func TestMetricsTellNothingOfDocuments(t *testing.T) {
	noLeaks(t)
	const canary = "kanarienvogel"
	s := start(t, server.Config{})
	conn, _ := dial(t, s)
	client := v1.NewCheckServiceClient(conn)
	check := plainCheck(canary)
	check.Build.Title = proto.String(canary)
	item := check.Build.Items[0]
	item.Id, item.Part.Id, item.Part.Name = proto.String(canary), proto.String(canary), proto.String(canary)
	if _, err := client.Check(soon(t), check); err != nil {
		t.Fatal(err)
	}
	refused := proto.CloneOf(check)
	refused.Policy = []*v1.PolicyValue{{Parameter: proto.String(canary), Value: proto.Float64(1)}}
	refused.Packs = []*v1.PackPin{{Name: proto.String(canary)}}
	if _, err := client.Check(soon(t), refused); err == nil {
		t.Error("a check with a policy and a pack that do not exist is not refused")
	}
	if _, err := v1.NewPackServiceClient(conn).DescribeRule(soon(t), &v1.DescribeRuleRequest{Rule: proto.String(canary)}); err == nil {
		t.Error("a rule that does not exist is described")
	}
	if err := conn.Invoke(soon(t), "/"+canary+"/"+canary, &v1.ListPacksRequest{}, &v1.ListPacksResponse{}); err == nil {
		t.Error("a method that does not exist answers")
	}
	if page := metricsText(t, s); strings.Contains(page, canary) {
		t.Errorf("the metrics tell what a caller wrote:\n%s", page)
	}
}
