package room

import (
	"mime"
	"net/http"
	"strings"

	"ledgerline/studio"
)

var errNoSheet = fail(http.StatusNotFound, "room.no-sheet", nil)

// showSheet gives a post as a page to be kept or printed. It is for the reader's
// own device to open: under the room's policy nothing of it would be shown here.
func (r *Room) showSheet(w http.ResponseWriter, req *http.Request) error {
	post, seat, err := r.findPost(req, errNoSheet)
	if err != nil {
		return err
	}
	if r.cfg.Printer == nil || !post.Kind.Printable() {
		return errNoSheet
	}
	sheet := studio.Sheet{Delivery: studio.Delivery{Post: post.Post, QueuedAt: post.QueuedAt}, Lang: seat.member.Lang, From: seat.studio.Name}
	for i, picture := range post.Pictures {
		png, err := r.gallery.png(pictureName(&post, i), picture)
		if err != nil {
			r.cfg.Log.Error("picture not drawn", "key", post.Key, "picture", i, "err", err)
		}
		sheet.Images = append(sheet.Images, png)
	}
	form, body, err := r.print(sheet, req.FormValue("form"))
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", form.kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": fileName(&post) + form.ending}))
	_, err = w.Write(body)
	return err
}

// A form is how a page is given.
type form struct{ kind, ending string }

// print makes a page: “html”, “pdf” on A4, or “letter”, a PDF on Letter.
func (r *Room) print(s studio.Sheet, as string) (f form, body []byte, err error) {
	pdf := form{"application/pdf", ".pdf"}
	switch as {
	case "html":
		body, err = r.cfg.Printer.HTML(s)
		return form{"text/html; charset=utf-8", ".html"}, body, err
	case "pdf":
		body, err = r.cfg.Printer.PDF(s, studio.A4)
		return pdf, body, err
	case "letter":
		body, err = r.cfg.Printer.PDF(s, studio.Letter)
		return pdf, body, err
	}
	return f, nil, misused("form is html, pdf or letter")
}

// fileName names a page after its post's key, without the reader.
func fileName(p *studio.Queued) string {
	name, _, _ := strings.Cut(string(p.Key), "@")
	return strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '.' {
			return c
		}
		return '-'
	}, name)
}
