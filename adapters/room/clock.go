package room

import (
	"errors"
	"net/http"
	"slices"
	"strings"
	"time"

	"ledgerline/studio/words"
)

type clockView struct {
	Now    time.Time `json:"now"`
	Moving bool      `json:"moving"`
}

func (r *Room) clock() clockView {
	return clockView{r.cfg.Now().UTC(), r.hub.clockMoving()}
}

// step moves the clock forward an hour, a day or a week.
func (r *Room) step(w http.ResponseWriter, req *http.Request) error {
	if r.cfg.Clock == nil {
		return fail(http.StatusNotFound, "room.real-clock", nil)
	}
	if guestOf(req.Context()) != "" {
		return fail(http.StatusForbidden, "room.host-only", nil)
	}
	var in struct {
		Hours int `json:"hours"`
	}
	if err := readJSON(req, &in); err != nil {
		return err
	}
	if !slices.Contains([]int{1, 24, 168}, in.Hours) {
		return misused("hours is 1, 24 or 168")
	}
	if !r.stepping.TryLock() {
		return fail(http.StatusConflict, "room.clock-moving", nil)
	}
	defer r.stepping.Unlock()
	r.hub.setMoving(true)
	defer r.hub.setMoving(false)
	rc := http.NewResponseController(w)
	if err := errors.Join(rc.SetReadDeadline(time.Time{}), rc.SetWriteDeadline(time.Time{})); err != nil {
		r.cfg.Log.Debug("no deadlines to lift", "err", err)
	}
	if err := r.cfg.Clock.Step(req.Context(), time.Duration(in.Hours)*time.Hour); err != nil {
		r.cfg.Log.Error("the clock could not be moved", "err", err)
		return fail(http.StatusInternalServerError, "room.clock-stopped", words.With{"why": sentenceOf(err)})
	}
	return writeJSON(w, clockView{Now: r.cfg.Now().UTC()})
}

// sentenceOf returns an error as the end of a sentence: one line, not long, and
// without its own full stop.
func sentenceOf(err error) string {
	const longest = 200
	text := []rune(strings.Join(strings.Fields(err.Error()), " "))
	if len(text) > longest {
		text = append(text[:longest], '…')
	}
	return strings.TrimSuffix(string(text), ".")
}
