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
	list, block   area // of the parts list with the key, and of the title block
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
	rowHeight   = 4.4  // of lists and labels
	keyHeight   = 24.0
)

// sheets of ISO 5457, lying.
var sheets = []struct {
	name          string
	width, height float64
}{{"A3", 420, 297}, {"A2", 594, 420}, {"A1", 841, 594}, {"A0", 1189, 841}}

// scales of ISO 5455.
var scales = []struct {
	ratio string
	value float64
}{{"1:1", 1}, {"1:2", 1. / 2}, {"1:5", 1. / 5}, {"1:10", 1. / 10}, {"1:20", 1. / 20}, {"1:50", 1. / 50}, {"1:100", 1. / 100}, {"1:200", 1. / 200}}

// newSheet chooses the largest scale at which everything goes on a sheet that an
// office printer takes (A3), or on the next size; then smaller scales; last the
// large sheets, which long parts lists need.
func newSheet(size [3]float64, rows int) (*sheet, error) {
	const usual = 2 // sheets that are tried first
	for _, scale := range scales {
		for i := range sheets[:usual] {
			if s := sheetOf(i); s.lay(size, rows, scale.ratio, scale.value) {
				return s, nil
			}
		}
	}
	for i := range sheets[usual:] {
		for _, scale := range scales {
			if s := sheetOf(usual + i); s.lay(size, rows, scale.ratio, scale.value) {
				return s, nil
			}
		}
	}
	return nil, errors.New("the arrangement is too large, or has too many parts, for a sheet")
}

func sheetOf(i int) *sheet {
	return &sheet{name: sheets[i].name, width: sheets[i].width, height: sheets[i].height}
}

// lay places the views, the list and the title block at a scale, and reports
// whether they have room.
func (s *sheet) lay(size [3]float64, rows int, ratio string, scale float64) bool {
	s.ratio, s.scale = ratio, scale
	x, y, z := size[0]*s.scale, size[1]*s.scale, size[2]*s.scale
	spareX := s.width - marginLeft - margin - (4*labelWidth + x + y)
	spareY := s.height - 2*margin - (titleHeight + y + underTop + titleHeight + z + dimension + blockHeight)
	s.frames[top] = area{marginLeft + labelWidth + spareX/4, margin + titleHeight + spareY/3, x, y}
	s.frames[side] = area{s.frames[top].x, s.frames[top].bottom() + underTop + titleHeight + spareY/3, x, z}
	s.frames[front] = area{s.frames[side].right() + 2*labelWidth + spareX/2, s.frames[side].y, y, z}
	s.block = area{s.width - margin - blockWidth, s.height - margin - blockHeight, blockWidth, blockHeight}
	left := s.frames[top].right() + labelWidth + spareX/8
	s.list = area{left, margin, s.width - margin - left, s.frames[front].y - titleHeight - dimension - margin}
	return spareX >= 0 && spareY >= 0 && s.list.w >= listWidth && s.list.h >= float64(rows+1)*rowHeight+keyHeight
}
