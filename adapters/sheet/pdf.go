package sheet

import (
	"bytes"
	"fmt"
	"strings"
	"sync"

	"codeberg.org/go-fonts/liberation/liberationserifbold"
	"codeberg.org/go-fonts/liberation/liberationserifitalic"
	"codeberg.org/go-fonts/liberation/liberationserifregular"
	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/sfnt"

	"ledgerline/studio"
)

// Measures of a page, in millimetres.
const (
	edge        = 18.0
	numberSpace = 9.0  // for the number of an item, in its margin
	lead        = 4.7  // from one line of a detail to the next
	pictureWide = 88.0 // of a tempo picture
	tallWide    = 120.0
	footSpace   = 14.0
	fontName    = "serif"
)

// colour is a colour of the page; as in the pictures.
type colour struct{ r, g, b int }

var (
	ink    = colour{0x22, 0x1d, 0x18}
	pale   = colour{0x62, 0x58, 0x4a}
	rule   = colour{0xcd, 0xc2, 0xac}
	accent = colour{0xa1, 0x2a, 0x1c}
)

// A press prints one page after another.
type press struct {
	*fpdf.Fpdf
	left, right, bottom float64
	pictures            int
}

// PDF returns the page as a PDF on a size of paper. The same sheet gives the same
// bytes.
func (Printer) PDF(s studio.Sheet, size studio.Paper) ([]byte, error) {
	if size != studio.A4 && size != studio.Letter {
		return nil, fmt.Errorf("paper %q: write %s or %s", size, studio.A4, studio.Letter)
	}
	p := newPress(s, size)
	p.print(layOut(s))
	var b bytes.Buffer
	if err := p.Output(&b); err != nil {
		return nil, fmt.Errorf("making “%s” into a PDF: %w", s.Title, err)
	}
	return b.Bytes(), nil
}

func newPress(s studio.Sheet, size studio.Paper) *press {
	f := fpdf.New("P", "mm", string(size), "")
	f.SetCatalogSort(true)
	f.SetCreationDate(s.QueuedAt.UTC())
	f.SetModificationDate(s.QueuedAt.UTC())
	f.SetTitle(s.Title, true)
	f.SetAuthor(s.From, true)
	f.SetLang(s.Lang)
	f.AddUTF8FontFromBytes(fontName, "", liberationserifregular.TTF)
	f.AddUTF8FontFromBytes(fontName, "B", liberationserifbold.TTF)
	f.AddUTF8FontFromBytes(fontName, "I", liberationserifitalic.TTF)
	f.SetMargins(edge, edge, edge)
	f.SetAutoPageBreak(false, 0)
	width, height := f.GetPageSize()
	p := &press{Fpdf: f, left: edge, right: width - edge, bottom: height - edge - footSpace/2}
	f.AliasNbPages("{pages}")
	f.SetFooterFunc(func() {
		p.style("I", 8.5, pale)
		f.SetXY(p.left, height-edge+2)
		f.CellFormat(p.right-p.left, 5, legible(fmt.Sprintf("%s · %d/{pages}", s.From, f.PageNo())), "", 0, "C", false, 0, "")
	})
	f.AddPage()
	return p
}

func (p *press) print(pg page) {
	p.style("I", 10, pale)
	p.lines(p.left, 5, pg.From)
	p.style("B", 17, ink)
	p.lines(p.left, 7.5, pg.Title)
	p.style("", 10, ink)
	p.lines(p.left, lead, pg.Lines...)
	p.line(ink, 0.6, 1.5)
	for _, part := range pg.Parts {
		p.part(&part)
	}
	for i := range pg.Rest {
		p.SetY(p.GetY() + 3)
		p.picture(p.left, &pg.Rest[i])
	}
	if len(pg.Feet) > 0 {
		p.need(lead * float64(len(pg.Feet)+2))
		p.line(rule, 0.2, 3)
		p.style("I", 9, pale)
		p.lines(p.left, lead, pg.Feet...)
	}
}

// part prints a heading and its items. A heading is never the last thing on a
// page.
func (p *press) part(part *part) {
	if part.Heading != "" {
		p.need(10 + 4*lead)
		p.SetY(p.GetY() + 4)
		p.style("B", 12, accent)
		p.lines(p.left, 6, part.Heading)
		p.line(rule, 0.2, 0)
	}
	for i := range part.Items {
		p.item(&part.Items[i])
	}
}

// item prints a numbered item, kept together where a page can hold it.
func (p *press) item(it *item) {
	x := p.left + numberSpace
	p.need(min(p.height(it, p.right-x), p.bottom-edge))
	p.SetY(p.GetY() + 1.6)
	if it.N > 0 {
		y := p.GetY()
		p.style("B", 10.5, accent)
		p.SetX(p.left)
		p.CellFormat(numberSpace-2, 5, fmt.Sprint(it.N), "", 0, "R", false, 0, "")
		p.SetY(y)
	}
	p.style("B", 10.5, ink)
	p.lines(x, 5, it.Head)
	p.style("", 10, ink)
	p.lines(x, lead, it.Lines...)
	if it.Picture != nil {
		p.SetY(p.GetY() + 1.5)
		p.picture(x, it.Picture)
	}
}

// height is how much of a page an item takes.
func (p *press) height(it *item, width float64) float64 {
	p.style("B", 10.5, ink)
	h := 3 + 5*float64(len(p.SplitText(legible(it.Head), width)))
	p.style("", 10, ink)
	for _, line := range it.Lines {
		h += lead * float64(len(p.SplitText(legible(line), width)))
	}
	if it.Picture != nil {
		h += p.pictureHeight(it.Picture) + 3
	}
	return h
}

// lines prints lines one below another, broken where they are too long for the
// page, on the next page if there is no room.
func (p *press) lines(x, lead float64, lines ...string) {
	for _, line := range lines {
		for _, piece := range p.SplitText(legible(line), p.right-x) {
			p.need(lead)
			p.SetX(x)
			p.CellFormat(p.right-x, lead, piece, "", 2, "L", false, 0, "")
		}
	}
}

// need begins a new page unless there is so much room on this one.
func (p *press) need(height float64) {
	if p.GetY()+height <= p.bottom || p.GetY() <= edge+1 {
		return
	}
	p.AddPage()
}

// style sets the font and colour of what is printed next.
func (p *press) style(style string, size float64, c colour) {
	p.SetFont(fontName, style, size)
	p.SetTextColor(c.r, c.g, c.b)
}

// line rules a line across the page, with some space above it.
func (p *press) line(c colour, width, above float64) {
	y := p.GetY() + above
	p.SetDrawColor(c.r, c.g, c.b)
	p.SetLineWidth(width)
	p.Line(p.left, y, p.right, y)
	p.SetY(y + 1)
}

// picture prints a picture, or its words if it was not drawn.
func (p *press) picture(x float64, pic *picture) {
	if len(pic.PNG) == 0 {
		p.style("I", 9.5, pale)
		p.lines(x, lead, pic.Alt)
		return
	}
	h := p.pictureHeight(pic)
	p.need(h)
	w := wideOf(pic)
	if h > p.bottom-edge {
		w, h = w*(p.bottom-edge)/h, p.bottom-edge
	}
	p.pictures++
	name := fmt.Sprintf("picture-%d", p.pictures)
	options := fpdf.ImageOptions{ImageType: "PNG"}
	p.RegisterImageOptionsReader(name, options, bytes.NewReader(pic.PNG))
	p.ImageOptions(name, x, p.GetY(), w, h, false, options, 0, "")
	p.SetY(p.GetY() + h)
}

func wideOf(pic *picture) float64 {
	if pic.Tall {
		return tallWide
	}
	return pictureWide
}

// pictureHeight is how high a picture stands on the page at its width.
func (p *press) pictureHeight(pic *picture) float64 {
	size, err := sizeOf(pic.PNG)
	if err != nil || size.X == 0 {
		return 2 * lead
	}
	return wideOf(pic) * float64(size.Y) / float64(size.X)
}

// printable is the font whose letters decide what can be printed.
var printable = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(liberationserifregular.TTF)
	if err != nil {
		panic("sheet: font compiled in: " + err.Error())
	}
	return f
})

// legible returns text with a question mark for every letter that the font
// lacks.
func legible(text string) string {
	var buffer sfnt.Buffer
	return strings.Map(func(r rune) rune {
		if i, err := printable().GlyphIndex(&buffer, r); err != nil || i == 0 {
			return '?'
		}
		return r
	}, text)
}
