package sheet

import (
	"strings"

	"ledgerline/studio"
)

// A Printer makes pages. The zero value is ready, and may be used by several
// goroutines at once.
type Printer struct{}

var _ studio.Printer = Printer{}

// New returns a Printer.
func New() Printer { return Printer{} }

// A page is a post as it is laid out: its items by part, its pictures where they
// belong.
type page struct {
	studio.Sheet
	Lines []string // of the text
	Parts []part
	Rest  []picture // pictures that belong to no item
	Feet  []string
}

// A part is some items under one heading.
type part struct {
	Heading string
	Items   []item
}

// An item is one numbered thing on a page.
type item struct {
	N       int
	Head    string
	Lines   []string
	Picture *picture
}

// A picture is a drawn picture, or its words where it could not be drawn.
type picture struct {
	PNG  []byte
	Alt  string
	Tall bool // taller than a tempo picture
}

// layOut puts a post in the order of a page.
func layOut(s studio.Sheet) page {
	p := page{Sheet: s, Lines: linesOf(s.Text), Feet: linesOf(s.Foot)}
	used := map[int]bool{}
	for _, it := range s.Items {
		n := len(p.Parts)
		if n == 0 || p.Parts[n-1].Heading != it.Part {
			p.Parts = append(p.Parts, part{Heading: it.Part})
			n++
		}
		laid := item{N: it.N, Head: it.Head, Lines: linesOf(it.Detail)}
		if it.Picture > 0 && it.Picture <= len(s.Pictures) && !used[it.Picture] {
			used[it.Picture] = true
			laid.Picture = pictureOf(s.Delivery, it.Picture-1)
		}
		p.Parts[n-1].Items = append(p.Parts[n-1].Items, laid)
	}
	for i := range s.Pictures {
		if !used[i+1] {
			p.Rest = append(p.Rest, *pictureOf(s.Delivery, i))
		}
	}
	return p
}

func pictureOf(d studio.Delivery, i int) *picture {
	pic := &picture{Alt: d.Pictures[i].Alt, Tall: d.Pictures[i].Tempo == nil}
	if i < len(d.Images) {
		pic.PNG = d.Images[i]
	}
	return pic
}

// linesOf returns the lines of a text; none of an empty one.
func linesOf(text string) []string {
	if text == "" {
		return nil
	}
	return strings.Split(text, "\n")
}
