package charts

// A sign is a glyph with its meaning.
type sign struct {
	glyph glyph
	word  string
}

// Measures of a legend, in pixels.
const (
	signRadius = 11
	signWide   = 44 // from one sign to its word
	signGap    = 30 // from a word to the next sign
	legendLead = 40
)

// legendRows breaks signs into rows that fit the page.
func legendRows(signs []sign) (rows [][]sign) {
	room := 0.
	for _, g := range signs {
		w := signWide + figureFace().width(g.word) + signGap
		if room < w-signGap {
			rows, room = append(rows, nil), pageWidth-2*margin
		}
		room -= w
		rows[len(rows)-1] = append(rows[len(rows)-1], g)
	}
	return rows
}

// legendHeight is the height of a legend.
func legendHeight(signs []sign) float64 { return legendLead * float64(len(legendRows(signs))) }

// legend writes what the signs mean; y is the middle of its first row.
func (s *sheet) legend(signs []sign, y float64) {
	for _, row := range legendRows(signs) {
		x := float64(margin)
		for _, g := range row {
			g.glyph(s, point{x + signWide/2 - 4, y}, signRadius)
			s.text(figureFace(), ink, point{x + signWide, y + 8}, left, g.word)
			x += signWide + figureFace().width(g.word) + signGap
		}
		y += legendLead
	}
}
