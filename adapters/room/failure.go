package room

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
)

// A failure is an error that a person may read.
type failure struct {
	status   int
	sentence string
}

func (f *failure) Error() string { return f.sentence }

func fail(status int, sentence string) error { return &failure{status, sentence} }

// An action answers one request. An error that is no failure is the program's
// own affair: it goes to the log, and the page is told only that it happened.
type action func(http.ResponseWriter, *http.Request) error

func (r *Room) answer(do action) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		err := do(w, req)
		if err == nil || req.Context().Err() != nil {
			return
		}
		var f *failure
		if !errors.As(err, &f) {
			r.cfg.Log.Error("request to the room failed", "path", req.URL.Path, "err", err)
			f = &failure{http.StatusInternalServerError, "Something went wrong in the program; its log says what. Try again."}
		}
		writeFailure(w, f)
	})
}

func writeFailure(w http.ResponseWriter, f *failure) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(f.status)
	json.NewEncoder(w).Encode(map[string]string{"error": f.sentence})
}

func writeJSON(w http.ResponseWriter, v any) error {
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(v)
}

// readJSON reads a request's body, which must be one JSON object with no fields
// but those of v.
func readJSON(req *http.Request, v any) error {
	dec := json.NewDecoder(req.Body)
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
		return fail(http.StatusRequestEntityTooLarge, tooLong)
	}
	return fail(http.StatusBadRequest, "The request is not the JSON object that the package's documentation describes.")
}
