package room

import (
	"errors"
	"net/http"
	"slices"
	"time"

	"ledgerline/studio"
)

type roomView struct {
	Now     time.Time    `json:"now"`
	Demo    bool         `json:"demo"`
	Moving  bool         `json:"moving"`
	Locked  bool         `json:"locked"`
	Studios []studioView `json:"studios"`

	Recording recordingView `json:"recording"`
}

type studioView struct {
	ID      studio.StudioID `json:"id"`
	Name    string          `json:"name"`
	Lang    string          `json:"lang"`
	Zone    string          `json:"zone"`
	Channel bool            `json:"channel"`
}

type memberView struct {
	ID    studio.MemberID `json:"id"`
	Name  string          `json:"name"`
	Role  studio.Role     `json:"role"`
	Zone  string          `json:"zone"`
	Lang  string          `json:"lang"`
	Wards []string        `json:"wards,omitempty"`
}

func (r *Room) showRoom(w http.ResponseWriter, req *http.Request) error {
	view := roomView{
		Now: r.cfg.Now().UTC(), Demo: r.cfg.Clock != nil, Moving: r.hub.clockMoving(),
		Locked: r.door.locked(), Studios: []studioView{},
		Recording: recordingView{studio.MaxRecording, studio.SoundEndings()},
	}
	err := r.cfg.Store.View(req.Context(), func(tx studio.Tx) error {
		all, err := tx.Studios()
		if err == nil {
			all, err = studiosOf(tx, guestOf(req.Context()), all)
		}
		for _, st := range all {
			_, channel := channelHere(st)
			view.Studios = append(view.Studios, studioView{st.ID, st.Name, st.Lang, st.Zone, channel})
		}
		return err
	})
	if err != nil {
		return err
	}
	return writeJSON(w, view)
}

func (r *Room) showMembers(w http.ResponseWriter, req *http.Request) error {
	views := []memberView{}
	err := r.cfg.Store.View(req.Context(), func(tx studio.Tx) error {
		id := studio.StudioID(req.FormValue("studio"))
		if _, err := tx.Studio(id); errors.Is(err, studio.ErrNotFound) {
			return errNoStudio
		} else if err != nil {
			return err
		}
		members, err := tx.Members(id)
		if err != nil {
			return err
		}
		names := map[studio.MemberID]string{}
		for _, m := range members {
			names[m.ID] = m.Name
		}
		for _, m := range members {
			if _, ok := accountHere(m); ok && m.Removed == 0 && guestOf(req.Context()).may(m.ID) {
				views = append(views, viewMember(m, names))
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return writeJSON(w, map[string]any{"members": views})
}

func viewMember(m studio.Member, names map[studio.MemberID]string) memberView {
	view := memberView{ID: m.ID, Name: m.Name, Role: m.Role, Zone: m.Zone, Lang: m.Lang}
	for _, ward := range m.Wards {
		if name, ok := names[ward]; ok {
			view.Wards = append(view.Wards, name)
		}
	}
	return view
}

// studiosOf returns those of all studios that a guest has to do with.
func studiosOf(tx studio.Tx, g guest, all []studio.Studio) ([]studio.Studio, error) {
	if g == "" {
		return all, nil
	}
	m, err := tx.Member(studio.MemberID(g))
	if errors.Is(err, studio.ErrNotFound) {
		return nil, nil
	}
	return slices.DeleteFunc(all, func(st studio.Studio) bool { return st.ID != m.Studio }), err
}
