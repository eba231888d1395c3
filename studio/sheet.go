package studio

// A Printer makes a post into a page to be kept, sent on or printed, complete in
// itself: nothing of it is fetched from elsewhere, and nothing in it runs.
type Printer interface {
	HTML(Sheet) ([]byte, error)
	PDF(Sheet, Paper) ([]byte, error)
}

// A Sheet is a post to be made into a page, with what a page says beside it.
type Sheet struct {
	Delivery
	Lang string // en, de, fr or es
	From string // the studio's name
}

// Paper is a size of paper.
type Paper string

// The sizes of paper.
const (
	A4     Paper = "A4"     // ISO 216: 210 x 297 mm
	Letter Paper = "Letter" // ANSI/ASME Y14.1: 8.5 x 11 in
)

// Printable reports whether posts of a kind are also made into pages.
func (k PostKind) Printable() bool {
	switch k {
	case DigestPost, LessonPost, ReportPost:
		return true
	}
	return false
}
