package clearance

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var supplyFormRule = kit.Rule{
	ID: "clearance.supply-form", Title: "Form factor of the power supply", Since: "0.1.0",
	Why: "A power supply of another form factor finds neither its opening nor its screw holes.",
	Formula: "The supply's form factor must be one that the layout lists, or one that a mount of the layout takes by means of an accessory; " +
		"whether the accessory is at hand is for the mounting rules.",
	Sources: []sourceOf{makersLimit, supplySource()},
	Reads: []string{
		"supply.form_factor", "chassis.limits.supply_form_factors", "chassis.layouts.limits.supply_form_factors",
		"chassis.layouts.mounts.form_factors", "chassis.layouts.mounts.needs",
	},
	Texts: map[string]string{
		"pass":      "{supply} is {measured}, which the enclosure takes.",
		"bracket":   "{supply} is {measured}; the mount {mount} takes it with {accessory}.",
		"mount":     "{supply} is {measured}, which the mount {mount} takes.",
		"fail":      "{supply} is {measured}; the enclosure takes only {required}.",
		"unknown":   "Whether {supply} fits the enclosure cannot be told without {missing}; the form factor stands in the data sheets of both.",
		"no-supply": "The build names no power supply; add it to know whether it fits the enclosure.",
	},
	Remedies: map[string]string{
		"other": "Choose a power supply of a listed form factor, or ask the enclosure's maker for a bracket that takes {measured}.",
	},
	Cautions: map[string]string{
		"mains": "Never open or file a power supply to make it fit: it holds mains voltage and stored charge.",
	},
	Judge: judgeSupplyForm,
}

func supplySource() sourceOf {
	form, _ := standards.SupplyFormByToken(standards.SupplySFX)
	return form.Source
}

func judgeSupplyForm(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	any := false
	for it := range c.Items(kit.KindSupply) {
		any = true
		judgeSupply(d, it)
	}
	if !any {
		c.Judged(kit.Unknown, c.Absent(noItem, "")).About(d.chassis).Say("no-supply")
	}
}

func judgeSupply(d *desk, it *kit.Item) {
	c := d.c
	form := c.Word(it, "supply.form_factor", it.Part.GetSupply().FormFactor)
	listed, list := d.forms(supplyForms)
	mount := d.supplyMount(form.Word)
	if form.Known() && !contains(listed, form.Word) && mount != nil {
		f := c.Among(form, mount.FormFactors, c.Words(d.chassis, d.mountPath(mount)+"form_factors", mount.FormFactors)).
			About(it, d.chassis).Word("supply", it.Name()).Word("mount", mount.GetId())
		if f.Say("mount"); len(mount.Needs) > 0 {
			f.Say("bracket").Word("accessory", strings.Join(mount.Needs, ", "))
		}
		return
	}
	c.Among(form, listed, list).About(it, d.chassis).Word("supply", it.Name()).Remedy("other").CautionWhen("mains")
}

// supplyMount returns the layout's first mount that names a supply's form
// factor, nil where none does.
func (l *limits) supplyMount(form string) *v1.Mount {
	for _, m := range l.layout.GetMounts() {
		if m.GetKind() == v1.MountKind_MOUNT_KIND_SUPPLY && contains(m.FormFactors, form) {
			return m
		}
	}
	return nil
}
