// Package drawing draws an arrangement of parts in an enclosure as a mechanical
// drawing: three sections to scale on one sheet, as scalable vector graphics.
//
// Views stand by third-angle projection (ISO 5456-2), lines follow ISO 128-2,
// sections ISO 128-3, dimensions ISO 129-1, item references ISO 6433, sheets
// ISO 5457, scales ISO 5455 and the title block ISO 7200. What the plane of a
// section cuts has wide outlines and a tint, what lies behind it narrow ones, what
// lies before it long-dashed double-dotted ones. Overlaps are cross-hatched, gaps
// that are too small hatched. An enclosure of up to some 360 mm goes on a sheet A4 at
// 1:5, with lettering of 2.6 and 3 mm; larger ones on the next size.
//
// The picture holds no script, no reference to anything outside it and no markup
// of the names that it is given. Its inks are custom properties that a page may
// set: --slipfit-ink, --slipfit-paper, --slipfit-cut, --slipfit-far,
// --slipfit-clash, --slipfit-cable.
package drawing
