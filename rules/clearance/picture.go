package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/drawing"
	"slipfit.example/rules/kit"
)

// FactDrawing is the name of the fact that is the arrangement as a drawing, as
// slipfit.v1.Picture.
const FactDrawing = "clearance.drawing"

var factDrawingName = FactDrawing

// provideDrawing hands on the drawing of an arrangement whose boxes, gaps and
// routes are in place, where the asker wants it.
func provideDrawing(c *kit.Case, a *v1.Arrangement) {
	if !c.Wants(FactDrawing) {
		return
	}
	names := drawing.Names{Title: c.Build.GetTitle(), Parts: map[string]string{}}
	if names.Title == "" {
		names.Title = c.Build.GetId()
	}
	for it := range c.AllItems() {
		names.Parts[it.ID] = it.Name()
	}
	if chassis := c.First(kit.KindChassis); chassis != nil {
		names.Enclosure = chassis.ID
		for _, layout := range chassis.Part.GetChassis().GetLayouts() {
			if layout.GetId() == a.GetLayout() {
				names.Layout = titleOf(layout)
			}
		}
	}
	picture, err := drawing.Draw(a, names)
	if err != nil {
		return // without boxes there is nothing to draw, and the arrangement says so
	}
	c.Provide(&v1.Fact{Name: &factDrawingName, Content: &v1.Fact_Picture{Picture: picture}})
}
