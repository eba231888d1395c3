package room

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"sync"

	"ledgerline/studio"
)

// A gallery draws pictures and keeps the last ones drawn.
type gallery struct {
	drawer studio.Drawer

	mu    sync.Mutex // held while drawing: one picture at a time
	drawn map[string][]byte
	order []string // of drawn, oldest first
}

const maxDrawn = 64

func newGallery(d studio.Drawer) *gallery {
	return &gallery{drawer: d, drawn: map[string][]byte{}}
}

// png returns the picture, which name names for good.
func (g *gallery) png(name string, p studio.Picture) ([]byte, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if png, ok := g.drawn[name]; ok {
		return png, nil
	}
	png, err := g.drawer.Draw(p)
	if err != nil {
		return nil, fmt.Errorf("drawing a picture: %w", err)
	}
	if len(g.order) == maxDrawn {
		delete(g.drawn, g.order[0])
		g.order = g.order[1:]
	}
	g.drawn[name] = png
	g.order = append(g.order, name)
	return png, nil
}

func (r *Room) showPicture(w http.ResponseWriter, req *http.Request) error {
	picture, name, err := r.findPicture(req)
	if err != nil {
		return err
	}
	// A post never changes once it is sent, so its name can stand for it.
	tag := etag([]byte(name))
	w.Header().Set("ETag", tag)
	w.Header().Set("Cache-Control", "private, no-cache")
	if req.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	png, err := r.gallery.png(name, picture)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/png")
	_, err = w.Write(png)
	return err
}

var errNoPicture = fail(http.StatusNotFound, "room.no-picture", nil)

func (r *Room) findPicture(req *http.Request) (picture studio.Picture, name string, err error) {
	n, err := strconv.Atoi(req.FormValue("n"))
	if err != nil || n < 0 {
		return picture, "", errNoPicture
	}
	p, _, err := r.findPost(req, errNoPicture)
	if err != nil {
		return picture, "", err
	}
	if n >= len(p.Pictures) {
		return picture, "", errNoPicture
	}
	return p.Pictures[n], pictureName(&p, n), nil
}

// pictureName names a picture for good.
func pictureName(p *studio.Queued, n int) string { return string(p.Key) + "#" + strconv.Itoa(n) }

// findPost returns the post that a request names, if its seat sees it; none if it
// does not.
func (r *Room) findPost(req *http.Request, none error) (p studio.Queued, in seat, err error) {
	err = r.cfg.Store.View(req.Context(), func(tx studio.Tx) error {
		s, err := takeSeat(req.Context(), tx, studio.StudioID(req.FormValue("studio")), studio.MemberID(req.FormValue("as")))
		if err != nil {
			return err
		}
		in = s
		p, err = tx.PostKnownAs(Platform, req.FormValue("post"))
		if err != nil && !errors.Is(err, studio.ErrNotFound) {
			return err
		}
		if err != nil || p.Studio != s.studio.ID || !s.sees(p.To) {
			return none
		}
		return nil
	})
	return p, in, err
}
