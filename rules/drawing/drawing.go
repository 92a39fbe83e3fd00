package drawing

import (
	"cmp"
	"math"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Names are what an arrangement knows by ids only. All are plain text, and any of
// them may be empty.
type Names struct {
	// Title is what the build is called.
	Title string
	// Layout is what the layout is called.
	Layout string
	// Enclosure is the id of the item whose boxes are the enclosure's own.
	Enclosure string
	// Parts are what items are called, by their ids.
	Parts map[string]string
}

// drawing is one sheet in the making.
type drawing struct {
	canvas
	names    Names
	of       *v1.Arrangement
	solids   []solid
	byShape  map[string]*solid
	parts    []*part
	gaps     []gap
	routes   []route
	low      [3]float64
	high     [3]float64
	middle   [3]float64
	sheet    *sheet
	sections [3]*section
	ids      []string // of the boxes
	drawn    []bool

	dimensions []*v1.Dimension
}

// part is an item that has boxes in the drawing.
type part struct {
	item   string
	number int  // item reference (ISO 6433)
	told   bool // a view bears the reference
}

// Draw returns the drawing of an arrangement: the same bytes for the same
// arrangement and names. It returns an error where the arrangement has no boxes,
// or one that cannot be drawn.
func Draw(a *v1.Arrangement, names Names) (*v1.Picture, error) {
	d := &drawing{of: a, names: names, byShape: map[string]*solid{}}
	d.taken = map[string]bool{}
	if err := d.read(); err != nil {
		return nil, err
	}
	var size [3]float64
	for k := range size {
		size[k] = d.high[k] - d.low[k]
	}
	var err error
	if d.sheet, err = newSheet(size, len(d.parts)+len(d.routes)); err != nil {
		return nil, err
	}
	for i := range views {
		d.sections[i] = d.newSection(paper{&views[i], d.sheet.frames[i], d.middle, d.sheet.scale})
	}
	d.write()
	return &v1.Picture{
		Svg: proto.String(d.String()), WidthMm: proto.Float64(d.sheet.width), HeightMm: proto.Float64(d.sheet.height),
		Dimensions: d.dimensions,
	}, nil
}

// read takes in the arrangement's boxes, gaps and routes.
func (d *drawing) read() error {
	if len(d.of.GetBoxes()) == 0 {
		return errNothing
	}
	numbers := map[string]int{}
	d.low = [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}
	d.high = [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, b := range d.of.GetBoxes() {
		s, err := solidOf(b)
		if err != nil {
			return err
		}
		s.owner = enclosure
		if item := b.GetItem(); item != "" && item != d.names.Enclosure {
			n, known := numbers[item]
			if !known {
				n = len(d.parts)
				numbers[item] = n
				d.parts = append(d.parts, &part{item: item, number: n + 1})
			}
			s.owner = n
		}
		d.solids = append(d.solids, s)
	}
	for i := range d.solids {
		s := &d.solids[i]
		if shape := s.source.GetShape(); shape != "" && d.byShape[shape] == nil {
			d.byShape[shape] = s
		}
		if s.isRoom() {
			continue // room that reaches out of the enclosure makes it no larger
		}
		for k := range d.low {
			d.low[k], d.high[k] = min(d.low[k], s.low[k]), max(d.high[k], s.high[k])
		}
	}
	if math.IsInf(d.low[0], 0) {
		return errNothing
	}
	for k := range d.middle {
		d.middle[k] = (d.low[k] + d.high[k]) / 2
	}
	d.readGaps(d.of.GetGaps())
	return d.readRoutes(d.of.GetRoutes())
}

// called is what people call an item: its name, else its id.
func (d *drawing) called(item string) string { return cmp.Or(d.names.Parts[item], item) }

// name is what a box is called.
func (d *drawing) name(s *solid) string {
	body := s.source.GetBody()
	if s.owner == enclosure {
		return cmp.Or(body, d.called(s.source.GetItem()), "enclosure")
	}
	name := d.called(s.source.GetItem())
	if body != "" && body != "body" {
		name += ", " + body
	}
	return name
}
