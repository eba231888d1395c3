package room

import (
	"embed"
	"io/fs"
	"net/http"
	"path"
)

//go:embed page
var pageFS embed.FS

// kinds are the media types of the page's files; the host's own table is not
// asked, since it may say otherwise.
var kinds = map[string]string{
	".html": "text/html; charset=utf-8",
	".css":  "text/css; charset=utf-8",
	".js":   "text/javascript; charset=utf-8",
	".svg":  "image/svg+xml",
}

type pageFile struct {
	kind, tag string
	body      []byte
}

// pageFiles serves the files of the page, which hold no data of anybody.
func pageFiles() action {
	files := map[string]pageFile{}
	entries, err := fs.ReadDir(pageFS, "page")
	if err != nil {
		panic(err) // they are compiled in
	}
	for _, e := range entries {
		body, err := pageFS.ReadFile("page/" + e.Name())
		if err != nil {
			panic(err)
		}
		files["/"+e.Name()] = pageFile{kinds[path.Ext(e.Name())], etag(body), body}
	}
	files["/"] = files["/index.html"]
	return func(w http.ResponseWriter, req *http.Request) error {
		f, ok := files[req.URL.Path]
		if !ok {
			return fail(http.StatusNotFound, "room.no-page", nil)
		}
		w.Header().Set("ETag", f.tag)
		w.Header().Set("Cache-Control", "no-cache")
		if req.Header.Get("If-None-Match") == f.tag {
			w.WriteHeader(http.StatusNotModified)
			return nil
		}
		w.Header().Set("Content-Type", f.kind)
		_, err := w.Write(f.body)
		return err
	}
}
