package room

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"

	"ledgerline/studio/words"
)

// A failure is an error that a person may read.
type failure struct {
	status int
	why    words.Phrase
}

// Error returns the failure in English.
func (f *failure) Error() string { return f.why.String() }

func fail(status int, id string, with words.With) error {
	return &failure{status, words.Phrase{ID: id, With: with}}
}

// misused fails a request that the room's own page never makes; what is said in
// English to whoever made it.
func misused(what string) error {
	return fail(http.StatusBadRequest, "room.misused", words.With{"what": what})
}

// An action answers one request. An error that is no failure is the program's
// own affair: it goes to the log, and the page is told only that it happened.
type action func(http.ResponseWriter, *http.Request) error

func (r *Room) answer(do action) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		err := do(w, req)
		if err == nil {
			return
		}
		var f *failure
		switch {
		case req.Context().Err() != nil: // who asked has gone, or sends too slowly
			f = &failure{http.StatusRequestTimeout, words.Phrase{ID: "room.broke-off"}}
		case !errors.As(err, &f):
			r.cfg.Log.Error("request to the room failed", "path", req.URL.Path, "err", err)
			f = &failure{http.StatusInternalServerError, words.Phrase{ID: "room.fault"}}
		}
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(f.status)
		json.NewEncoder(w).Encode(map[string]string{"error": r.voice(req).Phrase(f.why)})
	})
}

func writeJSON(w http.ResponseWriter, v any) error {
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(v)
}

// readJSON reads a request's body, which must be one JSON object with no fields
// but those of v.
func readJSON(req *http.Request, v any) error { return decodeJSON(req.Body, v) }

func decodeJSON(body io.Reader, v any) error {
	dec := json.NewDecoder(body)
	dec.DisallowUnknownFields()
	err := dec.Decode(v)
	if err == nil {
		if _, err = dec.Token(); err == io.EOF {
			return nil
		}
		err = errors.New("more than one value")
	}
	var tooBig *http.MaxBytesError
	if errors.As(err, &tooBig) {
		return errTooLong
	}
	return misused("the body is not the JSON object described there")
}
