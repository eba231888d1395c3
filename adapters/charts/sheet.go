package charts

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// Measures common to all pictures, in pixels.
const (
	pageWidth = 720
	margin    = 24
	lead      = 40 // from one line of a title to the next
)

// dpi makes one point of the vector canvas one pixel.
const dpi = 72

// A point is a place on a sheet in pixels, from its top left corner.
type point struct{ x, y float64 }

// A sheet is a page to draw on.
type sheet struct {
	canvas *vgimg.Canvas
	height float64
}

// newSheet returns a blank page with a thin frame.
func newSheet(height float64) *sheet {
	height = math.Ceil(height)
	s := &sheet{height: height, canvas: vgimg.NewWith(
		vgimg.UseWH(pageWidth, vg.Length(height)),
		vgimg.UseDPI(dpi),
		vgimg.UseBackgroundColor(paper),
	)}
	s.frame()
	return s
}

// frame draws a line just inside the edge, which parts the paper from a light
// chat.
func (s *sheet) frame() {
	const w = 2
	l, t, r, b := w/2., w/2., pageWidth-w/2., s.height-w/2.
	s.stroke(pale, w, point{l, t}, point{r, t}, point{r, b}, point{l, b}, point{l, t}, point{r, t})
}

// vg returns p as the canvas counts, from the bottom left corner.
func (s *sheet) vg(p point) vg.Point {
	return vg.Point{X: vg.Length(p.x), Y: vg.Length(s.height - p.y)}
}

// stroke draws a line of the given width through the points.
func (s *sheet) stroke(c color.Color, width float64, points ...point) {
	var path vg.Path
	path.Move(s.vg(points[0]))
	for _, p := range points[1:] {
		path.Line(s.vg(p))
	}
	s.canvas.SetColor(c)
	s.canvas.SetLineWidth(vg.Length(width))
	s.canvas.Stroke(path)
}

// across draws a level line whose edges fall on whole pixels.
func (s *sheet) across(c color.Color, width, x0, x1, y float64) {
	y = crisp(y, width)
	s.stroke(c, width, point{math.Round(x0), y}, point{math.Round(x1), y})
}

// down draws an upright line whose edges fall on whole pixels.
func (s *sheet) down(c color.Color, width, x, y0, y1 float64) {
	x = crisp(x, width)
	s.stroke(c, width, point{x, math.Round(y0)}, point{x, math.Round(y1)})
}

// crisp returns the middle of a line of the given width so that its edges fall
// on whole pixels.
func crisp(v, width float64) float64 { return math.Round(v-width/2) + width/2 }

// fill fills the outline of one or more closed curves.
func (s *sheet) fill(c color.Color, path vg.Path) {
	if len(path) == 0 {
		return
	}
	s.canvas.SetColor(c)
	s.canvas.Fill(path)
}

// An align says which end of a text is put at a place.
type align float64

const (
	left   align = 0
	middle align = 0.5
	right  align = 1
)

// text writes a line with its baseline at p.y.
func (s *sheet) text(t typeface, c color.Color, p point, a align, line string) {
	line = visual(line)
	p.x = math.Round(p.x - t.width(line)*float64(a))
	p.y = math.Round(p.y)
	s.canvas.SetColor(c)
	s.canvas.FillString(t.face, s.vg(p), line)
}

// titled writes a title at the top of the page.
func (s *sheet) titled(lines []string) {
	for i, line := range lines {
		s.text(titleFace(), ink, point{margin, margin + lead*float64(i+1) - 12}, left, line)
	}
}

// titleLines breaks a title to the width of the page.
func titleLines(title string) []string {
	shown, _ := legible(title)
	return titleFace().wrap(shown, pageWidth-2*margin)
}

// titleHeight is where the page goes on below a title.
func titleHeight(lines []string) float64 { return margin + lead*float64(len(lines)) }
