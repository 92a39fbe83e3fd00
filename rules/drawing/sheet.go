package drawing

import (
	"errors"
)

// sheet is a sheet of paper with its frame, and where things lie on it.
type sheet struct {
	name          string
	width, height float64
	scale         float64
	ratio         string // as in the title block
	frames        [3]area
	lists         []area // of the parts list, in the order in which they fill
	key, block    area   // of the key and of the title block
}

// Margins of the frame (ISO 5457).
const (
	marginLeft = 20.0
	margin     = 10.0
)

// Room round the views, in mm of sheet.
const (
	labelWidth  = 30.0 // beside a view, for labels
	titleHeight = 7.0  // above a view, for its name
	underTop    = 5.0  // beneath the view from above
	dimension   = 8.0  // for an overall dimension
	blockWidth  = 180.0
	blockHeight = 16.0 // two rows
	rowHeight   = 4.4  // of labels
	listRow     = 3.9
	keyHeight   = 9.0
)

// sheets of ISO 5457, lying.
var sheets = []struct {
	name          string
	width, height float64
}{{"A4", 297, 210}, {"A3", 420, 297}, {"A2", 594, 420}, {"A1", 841, 594}, {"A0", 1189, 841}}

// scales of ISO 5455.
var scales = []struct {
	ratio string
	value float64
}{{"1:1", 1}, {"1:2", 1. / 2}, {"1:5", 1. / 5}, {"1:10", 1. / 10}, {"1:20", 1. / 20}, {"1:50", 1. / 50}, {"1:100", 1. / 100}, {"1:200", 1. / 200}}

// newSheet chooses the sheet and the largest scale on it at which everything has
// room: first the sheet that every printer takes (A4), as long as a millimetre of
// the enclosure is not less than a fifth of one on paper; then the next one; last
// the large sheets, which long parts lists need.
func newSheet(size [3]float64, rows int) (*sheet, error) {
	const legible = 1. / 5
	for i := range sheets {
		for _, scale := range scales {
			if i == 0 && scale.value < legible || i == 1 && scale.value < legible/2 {
				break
			}
			if s := sheetOf(i); s.lay(size, rows, scale.ratio, scale.value) {
				return s, nil
			}
		}
	}
	return nil, errors.New("the arrangement is too large, or has too many parts, for a sheet")
}

func sheetOf(i int) *sheet {
	return &sheet{name: sheets[i].name, width: sheets[i].width, height: sheets[i].height}
}

// lay places the views, the list, the key and the title block at a scale, and
// reports whether they have room: the list beside the views, or where that is too
// small also beneath them.
func (s *sheet) lay(size [3]float64, rows int, ratio string, scale float64) bool {
	s.ratio, s.scale = ratio, scale
	x, y, z := size[0]*s.scale, size[1]*s.scale, size[2]*s.scale
	spareX := s.width - marginLeft - margin - (4*labelWidth + x + y)
	spareY := s.height - 2*margin - (titleHeight + y + underTop + titleHeight + z + dimension + keyHeight + blockHeight)
	if spareX < 0 || spareY < 0 {
		return false
	}
	s.block = area{s.width - margin - blockWidth, s.height - margin - blockHeight, blockWidth, blockHeight}
	s.key = area{marginLeft + 1, s.block.y - keyHeight, s.width - marginLeft - margin - 2, keyHeight}
	for _, share := range [...]float64{1. / 3, 0} { // of the room that is left, above and between the views
		s.frames[top] = area{marginLeft + labelWidth + spareX/4, margin + titleHeight + spareY*share, x, y}
		s.frames[side] = area{s.frames[top].x, s.frames[top].bottom() + underTop + titleHeight + spareY*share, x, z}
		s.frames[front] = area{s.frames[side].right() + 2*labelWidth + spareX/2, s.frames[side].y, y, z}
		if s.layLists(share == 0); s.rows() >= rows {
			return true
		}
	}
	return false
}

// layLists finds room for the list: right of the view from above, and if asked also
// in columns beneath the views.
func (s *sheet) layLists(beneath bool) {
	s.lists = s.lists[:0]
	left := s.frames[top].right() + labelWidth
	beside := area{left, margin, s.width - margin - left, s.frames[front].y - titleHeight - 2 - margin}
	if beside.w >= listWidth {
		s.lists = append(s.lists, beside)
	}
	if !beneath {
		return
	}
	from := s.frames[side].bottom() + dimension + 1
	wide := s.width - marginLeft - margin
	columns := int(wide / listWidth)
	for i := range columns {
		w := wide / float64(columns)
		s.lists = append(s.lists, area{marginLeft + float64(i)*w, from, w, s.key.y - 1 - from})
	}
}

// rows is how many rows the lists take, their headings not counted.
func (s *sheet) rows() (n int) {
	for _, a := range s.lists {
		n += max(0, int(a.h/listRow)-1)
	}
	return n
}
