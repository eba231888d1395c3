package room

import (
	"net/http"

	"golang.org/x/text/language"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// spoken are the languages that the page may ask for.
var spoken = func() language.Matcher {
	var tags []language.Tag
	for _, lang := range words.Languages() {
		tags = append(tags, language.Make(lang))
	}
	return language.NewMatcher(tags)
}()

// voice returns the voice that a request wants to be answered in: in the language
// of its header, by the words of the studio that its address names, if whoever
// asks is inside.
func (r *Room) voice(req *http.Request) *words.Voice {
	lexicon := words.Program()
	if _, inside := r.door.knows(req); r.cfg.Words != nil && (inside || !r.door.locked()) {
		lexicon = r.cfg.Words(studio.StudioID(req.URL.Query().Get("studio")))
	}
	tags, _, _ := language.ParseAcceptLanguage(req.Header.Get("Accept-Language"))
	_, at, _ := spoken.Match(tags...)
	return lexicon.In(words.Languages()[at])
}

// showWords gives the texts of the page.
func (r *Room) showWords(w http.ResponseWriter, req *http.Request) error {
	v, of := r.voice(req), []string{"room.", "role.", "picture-in-words", "called.keep"}
	return writeJSON(w, map[string]any{"lang": v.Lang(), "texts": v.Forms(of...)})
}
