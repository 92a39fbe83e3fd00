package drawing

// styles are scoped to the root's class, because a page that takes the picture in
// shares them. Line widths are the group 0.5 of ISO 128-2: wide 0.5 mm, narrow
// 0.25 mm. The inks stand in attributes as well, for programs that print without
// custom properties.
const styles = `
.slipfit-drawing{--sd-ink:#17212b;--sd-paper:#fff;--sd-cut:#d8e0e7;--sd-far:#f4f6f8;--sd-clash:#b0271d;--sd-cable:#0a5a78;
color:var(--slipfit-ink,var(--sd-ink));font-family:ui-monospace,monospace;stroke-linecap:butt;stroke-linejoin:round}
@media (prefers-color-scheme:dark){.slipfit-drawing{--sd-ink:#e4e8ec;--sd-paper:#11161b;--sd-cut:#33404c;--sd-far:#1a2128;--sd-clash:#ff9389;--sd-cable:#79d2f0}}
@media print{.slipfit-drawing{--sd-ink:#000;--sd-paper:#fff;--sd-cut:#d9d9d9;--sd-far:#f6f6f6;--sd-clash:#000;--sd-cable:#000}}
.slipfit-drawing .paper{fill:var(--slipfit-paper,var(--sd-paper))}
.slipfit-drawing .far{fill:var(--slipfit-far,var(--sd-far));stroke:currentColor;stroke-width:.25}
.slipfit-drawing .far .back{fill:var(--slipfit-paper,var(--sd-paper))}
.slipfit-drawing .cut{fill:var(--slipfit-cut,var(--sd-cut));stroke:currentColor;stroke-width:.5}
.slipfit-drawing .cut .wall{fill:currentColor;stroke-width:.25}
.slipfit-drawing .opening{fill:var(--slipfit-paper,var(--sd-paper));stroke-width:.25;stroke-dasharray:1.5 .75}
.slipfit-drawing .near{fill:none;stroke:currentColor;stroke-width:.25;stroke-dasharray:6 .75 .5 .75 .5 .75}
.slipfit-drawing .room{fill:none;stroke:currentColor;stroke-width:.18;stroke-dasharray:.25 .8}
.slipfit-drawing .fine{fill:none;stroke-width:.18}
.slipfit-drawing .frame{fill:none;stroke:currentColor;stroke-width:.7}
.slipfit-drawing .rule{fill:none;stroke:currentColor;stroke-width:.25}
.slipfit-drawing .axis{fill:none;stroke:currentColor;stroke-width:.18;stroke-dasharray:6 .75 .75 .75}
.slipfit-drawing .plane{fill:none;stroke:currentColor;stroke-width:.7}
.slipfit-drawing .clash,.slipfit-drawing .missed rect,.slipfit-drawing rect.missed{stroke:var(--slipfit-clash,var(--sd-clash));stroke-width:.35}
.slipfit-drawing .hidden{fill:none;stroke-dasharray:2 .8}
.slipfit-drawing .hatch{stroke:var(--slipfit-clash,var(--sd-clash));fill:none}
.slipfit-drawing .cable{fill:var(--slipfit-cable,var(--sd-cable));stroke:var(--slipfit-cable,var(--sd-cable));stroke-width:.5}
.slipfit-drawing .cable path{fill:none}
.slipfit-drawing .lead{stroke-width:.25}
.slipfit-drawing .lead .casing{stroke-width:.7!important}
.slipfit-drawing .cable .casing{stroke:var(--slipfit-paper,var(--sd-paper));stroke-width:1.3}
.slipfit-drawing .short{stroke-dasharray:2.5 1}
.slipfit-drawing .short .casing{stroke-dasharray:none}
.slipfit-drawing .leader{stroke:currentColor;stroke-width:.18;fill:none}
.slipfit-drawing .dot,.slipfit-drawing .arrow{fill:currentColor;stroke:none}
.slipfit-drawing .dimension{stroke:currentColor}
.slipfit-drawing .dimension.missed{stroke:var(--slipfit-clash,var(--sd-clash))}
.slipfit-drawing .missed .arrow{fill:var(--slipfit-clash,var(--sd-clash))}
.slipfit-drawing text{fill:currentColor;stroke:none!important}
.slipfit-drawing text.missed{fill:var(--slipfit-clash,var(--sd-clash));font-weight:700}
.slipfit-drawing .label,.slipfit-drawing text.dimension,.slipfit-drawing .figure{font-size:3px}
.slipfit-drawing .in{text-anchor:middle;paint-order:stroke}
.slipfit-drawing .row,.slipfit-drawing .small{font-size:2.6px}
.slipfit-drawing .small{opacity:.8}
.slipfit-drawing .head{font-size:3.6px;font-weight:700}
`

// hatches of conflicts: crossed where things overlap, simple where too little is
// free (ISO 128-3: narrow lines at 45 degrees).
func (d *drawing) writeDefs() {
	d.open("defs")
	for _, h := range [...]struct{ id, size, path, width string }{
		{"slipfit-clash", "1.6", "M0 0L1.6 1.6M1.6 0L0 1.6", ".35"},
		{"slipfit-missed", "2", "M-.5 .5L.5 -.5M0 2L2 0M1.5 2.5L2.5 1.5", ".3"},
	} {
		d.open("pattern", attr{"id", h.id}, attr{"width", h.size}, attr{"height", h.size}, attr{"patternUnits", "userSpaceOnUse"})
		d.empty("path", attr{"class", "hatch"}, attr{"d", h.path}, attr{"stroke-width", h.width}, attr{"stroke", "currentColor"}, attr{"fill", "none"})
		d.close("pattern")
		d.taken[h.id] = true
	}
	d.close("defs")
}
