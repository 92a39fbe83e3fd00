package thermal

import (
	"fmt"
	"html"
	"math"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/thermal/climate"
)

var chartName = ChartFact

// provideChart draws temperature rise against sound over fan speed.
func provideChart(c *kit.Case) {
	s := surveyOf(c)
	o := &s.outlook
	if !s.warmthKnown() {
		return
	}
	list, item, ok := o.plan.SweepSpeeds(o.belief, &o.state, sweepShares[:])
	if !ok {
		return
	}
	d := diagram{points: list, title: c.Build.GetTitle(), die: item, drawn: s.heat.Nominal}
	if it := c.ItemByID(item); it != nil {
		d.die = it.Name()
	}
	if d.title == "" {
		d.title = c.Build.GetId()
	}
	if p, ok := s.point(item, "die"); ok && o.state.Noise.Known && !o.state.Noise.Silent {
		d.here = &climate.Sweep{RiseK: p.RiseK, Machine: o.state.Noise.Machine}
		if p.LimitC != nil && s.temperature.Known() {
			d.limit = *p.LimitC - s.temperature.Nominal
		}
	}
	svg := d.svg()
	width, height := float64(diagramWidth), float64(diagramHeight)
	c.Provide(&v1.Fact{Name: &chartName, Content: &v1.Fact_Picture{Picture: &v1.Picture{Svg: &svg, WidthMm: &width, HeightMm: &height}}})
}

// sweepShares are the shares of greatest speed that are drawn.
var sweepShares = [...]float64{0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}

// Sheet of a diagram in mm, and the field that it is drawn in.
const (
	diagramWidth, diagramHeight = 180, 120
	fieldLeft, fieldRight       = 22.0, 172.0
	fieldTop, fieldBottom       = 20.0, 102.0
)

// diagram is temperature rise over sound, as a test bench would plot it: a reading
// at each speed, its range upright, and the line through the likely values.
type diagram struct {
	points []climate.Sweep
	here   *climate.Sweep // at the speeds that the build sets
	limit  float64        // rise at the limit, 0 where unknown
	title  string
	die    string
	drawn  float64 // W of the whole build
}

// scale is one axis: from a round number to a round number.
type scale struct{ from, to, step, at0, at1 float64 }

func newScale(low, high, at0, at1 float64) scale {
	span := max(high-low, 1)
	step := math.Pow(10, math.Floor(math.Log10(span/4)))
	for _, f := range [...]float64{1, 2, 5, 10} {
		if span/(step*f) <= 7 {
			step *= f
			break
		}
	}
	return scale{math.Floor(low/step) * step, math.Ceil(high/step) * step, step, at0, at1}
}

func (s scale) at(v float64) float64 {
	return s.at0 + (v-s.from)/(s.to-s.from)*(s.at1-s.at0)
}

const diagramStyle = `.slipfit-diagram{--sg-ink:#1d2730;--sg-paper:#fbfaf6;--sg-grid:#d5d9d6;--sg-line:#0f6b62;--sg-mark:#b4532a;--sg-soft:#5b6670}
@media (prefers-color-scheme:dark){.slipfit-diagram{--sg-ink:#e6e9e6;--sg-paper:#12181c;--sg-grid:#303a40;--sg-line:#5cc7b8;--sg-mark:#f0a070;--sg-soft:#a3adb3}}
.slipfit-diagram text{fill:var(--sg-ink);font-family:sans-serif;font-size:3.4px}
.slipfit-diagram .soft{fill:var(--sg-soft);font-size:3px}
.slipfit-diagram .head{font-size:4.6px;font-weight:600}
.slipfit-diagram .paper{fill:var(--sg-paper)}
.slipfit-diagram .grid{stroke:var(--sg-grid);stroke-width:.2;fill:none}
.slipfit-diagram .axis{stroke:var(--sg-ink);stroke-width:.35;fill:none}
.slipfit-diagram .line{stroke:var(--sg-line);stroke-width:.6;fill:none}
.slipfit-diagram .range{stroke:var(--sg-line);stroke-width:.3;fill:none}
.slipfit-diagram .spot{fill:var(--sg-paper);stroke:var(--sg-line);stroke-width:.5}
.slipfit-diagram .here{fill:none;stroke:var(--sg-mark);stroke-width:.6}
.slipfit-diagram .limit{stroke:var(--sg-mark);stroke-width:.35;stroke-dasharray:2 1.2;fill:none}
.slipfit-diagram .mark{fill:var(--sg-mark)}`

// svg draws the diagram.
func (d *diagram) svg() string {
	x, y := d.scales()
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" class="slipfit-diagram" width="%dmm" height="%dmm" viewBox="0 0 %d %d" role="img" aria-labelledby="sg-title sg-desc">`,
		diagramWidth, diagramHeight, diagramWidth, diagramHeight)
	fmt.Fprintf(&b, `<title id="sg-title">Temperature rise against sound: %s</title>`, clean(d.title))
	fmt.Fprintf(&b, `<desc id="sg-desc">%s</desc><style>%s</style>`, clean(d.words()), diagramStyle)
	fmt.Fprintf(&b, `<rect class="paper" x="0" y="0" width="%d" height="%d"/>`, diagramWidth, diagramHeight)
	fmt.Fprintf(&b, `<text class="head" x="%.1f" y="9">%s</text>`, fieldLeft, clean(shortened(d.title, 60)))
	fmt.Fprintf(&b, `<text class="soft" x="%.1f" y="14.5">%s above the room, %s in all, every fan at a share of its greatest speed</text>`,
		fieldLeft, clean(shortened(d.die, 40)), kit.FormatNumber(d.drawn, "W"))
	d.axes(&b, x, y)
	if d.limit > y.from && d.limit < y.to {
		fmt.Fprintf(&b, `<path class="limit" d="M%.2f %.2fH%.2f"/><text class="mark" x="%.2f" y="%.2f" text-anchor="end">limit</text>`,
			fieldLeft, y.at(d.limit), fieldRight, fieldRight-1, y.at(d.limit)-1)
	}
	d.curve(&b, x, y)
	b.WriteString(`</svg>`)
	return b.String()
}

func (d *diagram) scales() (x, y scale) {
	low, high := math.Inf(1), math.Inf(-1)
	least, most := math.Inf(1), math.Inf(-1)
	take := func(p *climate.Sweep) {
		low, high = min(low, p.Machine.Nominal), max(high, p.Machine.Nominal)
		least, most = min(least, p.RiseK.Low), max(most, p.RiseK.High)
	}
	for i := range d.points {
		take(&d.points[i])
	}
	if d.here != nil {
		take(d.here)
	}
	if d.limit > 0 && d.limit < 1.6*most {
		most = max(most, d.limit+1)
	}
	return newScale(low, high, fieldLeft, fieldRight), newScale(least, most, fieldBottom, fieldTop)
}

func (d *diagram) axes(b *strings.Builder, x, y scale) {
	for v := x.from; v <= x.to+x.step/2; v += x.step {
		fmt.Fprintf(b, `<path class="grid" d="M%.2f %.2fV%.2f"/><text x="%.2f" y="%.2f" text-anchor="middle">%s</text>`,
			x.at(v), fieldTop, fieldBottom, x.at(v), fieldBottom+5, kit.FormatNumber(v, ""))
	}
	for v := y.from; v <= y.to+y.step/2; v += y.step {
		fmt.Fprintf(b, `<path class="grid" d="M%.2f %.2fH%.2f"/><text x="%.2f" y="%.2f" text-anchor="end">%s</text>`,
			fieldLeft, y.at(v), fieldRight, fieldLeft-2, y.at(v)+1.2, kit.FormatNumber(v, ""))
	}
	fmt.Fprintf(b, `<path class="axis" d="M%.2f %.2fV%.2fH%.2f"/>`, fieldLeft, fieldTop, fieldBottom, fieldRight)
	fmt.Fprintf(b, `<text x="%.2f" y="%.2f" text-anchor="end">sound of the machine at the listener, dB(A)</text>`, fieldRight, fieldBottom+11)
	fmt.Fprintf(b, `<text transform="translate(6 %.2f) rotate(-90)" text-anchor="end">rise above the room, K</text>`, fieldTop)
}

func (d *diagram) curve(b *strings.Builder, x, y scale) {
	b.WriteString(`<path class="line" d="`)
	for i, p := range d.points {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		fmt.Fprintf(b, "%s%.2f %.2f", letter, x.at(p.Machine.Nominal), y.at(p.RiseK.Nominal))
	}
	b.WriteString(`"/>`)
	for _, p := range d.points {
		px := x.at(p.Machine.Nominal)
		fmt.Fprintf(b, `<path class="range" d="M%.2f %.2fV%.2fM%.2f %.2fh1.6M%.2f %.2fh1.6"/>`,
			px, y.at(p.RiseK.High), y.at(p.RiseK.Low), px-0.8, y.at(p.RiseK.High), px-0.8, y.at(p.RiseK.Low))
		fmt.Fprintf(b, `<circle class="spot" cx="%.2f" cy="%.2f" r="1"/><text class="soft" x="%.2f" y="%.2f">%.0f %%</text>`,
			px, y.at(p.RiseK.Nominal), px+1.6, y.at(p.RiseK.Nominal)-1.4, 100*p.Share)
	}
	if d.here != nil {
		px, py := x.at(d.here.Machine.Nominal), y.at(d.here.RiseK.Nominal)
		fmt.Fprintf(b, `<path class="here" d="M%.2f %.2fh4M%.2f %.2fv4"/><text class="mark" x="%.2f" y="%.2f">as set</text>`,
			px-2, py, px, py-2, px+2, py+4.4)
	}
}

// words is the diagram for those who cannot see it.
func (d *diagram) words() string {
	first, last := d.points[0], d.points[len(d.points)-1]
	return fmt.Sprintf("At %.0f %% of their speed the fans make %s and %s lies %s above the room; at full speed %s and %s.",
		100*first.Share, kit.FormatNumber(first.Machine.Nominal, "dB(A)"), d.die, kit.FormatNumber(first.RiseK.Nominal, "K"),
		kit.FormatNumber(last.Machine.Nominal, "dB(A)"), kit.FormatNumber(last.RiseK.Nominal, "K"))
}

// clean makes text safe within a picture: no markup, no control characters.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0xfffe || r == 0xffff {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	return html.EscapeString(s)
}

func shortened(s string, most int) string {
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return string(r[:most-1]) + "…"
}
