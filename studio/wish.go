package studio

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"ledgerline/routine"
)

// A wish is what a student has said of today before playing: it makes today's
// routine another one and says nothing of any other day.
type wish struct {
	Minutes    int    `json:"minutes,omitempty"`    // all she has today
	Quiet      bool   `json:"quiet,omitempty"`      // nothing loud
	Instrument string `json:"instrument,omitempty"` // the one at hand
}

// wishMarks is what the names of a member's wishes begin with; the date follows.
func wishMarks(m MemberID) string { return "wish/" + string(m) + "/" }

func wishMark(m *Member, d routine.Date) string { return wishMarks(m.ID) + d.String() }

// wishOf returns what the member has said of a date; the zero wish if nothing.
func wishOf(tx Tx, m *Member, d routine.Date) (w wish, err error) {
	note, err := tx.Mark(wishMark(m, d))
	if isNotFound(err) || err == nil && note == "" {
		return w, nil
	}
	if err != nil {
		return w, err
	}
	if err := json.Unmarshal([]byte(note), &w); err != nil {
		return w, fmt.Errorf("reading what %s said of %s: %w", m.ID, d, err)
	}
	return w, nil
}

func putWish(tx Tx, m *Member, d routine.Date, w wish) error {
	note, err := json.Marshal(w)
	if err != nil {
		return err
	}
	return tx.PutMark(wishMark(m, d), string(note))
}

// shortestDay and longestDay bound the minutes that a student may say she has.
const (
	shortestDay = 5
	longestDay  = 240
)

func (t *turn) short(args []string) (Post, error) {
	n, ok := dayMinutes(args)
	if !ok {
		return Post{}, usage("wrong.short", with{"from": shortestDay, "to": longestDay})
	}
	p, err := t.wishes(func(w *wish) { w.Minutes = n })
	p.Foot = t.voice.Say("short.foot", with{"minutes": n})
	return p, err
}

// dayMinutes reads the minutes of “short 15”.
func dayMinutes(args []string) (n int, ok bool) {
	if len(args) != 1 {
		return 0, false
	}
	n, err := strconv.Atoi(args[0])
	return n, err == nil && n >= shortestDay && n <= longestDay
}

func (t *turn) soft([]string) (Post, error) { return t.wishes(func(w *wish) { w.Quiet = true }) }

func (t *turn) usual([]string) (Post, error) { return t.wishes(func(w *wish) { *w = wish{} }) }

func (t *turn) with(args []string) (Post, error) {
	inst, ok := instrumentNamed(t.voice, strings.Join(args, " "))
	if !ok {
		var names []string
		for _, i := range routine.Instruments() {
			names = append(names, instrumentWords(t.voice, i.Name))
		}
		return Post{}, usage("wrong.instrument", with{"names": strings.Join(names, ", ")})
	}
	plan, err := planOf(t.tx, t.who.ID)
	if err != nil {
		return Post{}, err
	}
	for _, e := range plan.Entries {
		if e.Instrument != "" {
			return t.wishes(func(w *wish) { w.Instrument = inst.Name })
		}
	}
	return t.answered("with.same", nil)
}

// wishes notes what the student says of today and answers with a new routine; if
// it is nothing new, with the one there is. If nothing can be made of it, all
// stays as it was.
func (t *turn) wishes(change func(*wish)) (Post, error) {
	if !t.studio.mayLog(&t.who) {
		return Post{}, usage("wrong.no-consent", with{"name": t.who.Name})
	}
	today := t.Service.today(&t.who)
	before, err := wishOf(t.tx, &t.who, today)
	if err != nil {
		return Post{}, err
	}
	now := before
	if change(&now); now == before {
		return t.today(nil)
	}
	if err := putWish(t.tx, &t.who, today, now); err != nil {
		return Post{}, err
	}
	number, err := t.nextNumber(&t.who, today)
	if err != nil {
		return Post{}, err
	}
	r, err := t.buildRoutine(t.tx, &t.studio, &t.who, today, number)
	if err != nil {
		return Post{}, err
	}
	if len(r.Items) == 0 {
		if err := putWish(t.tx, &t.who, today, before); err != nil {
			return Post{}, err
		}
		return Post{}, usage("wrong.nothing-fits", nil)
	}
	return routinePost(t.voice, &r), nil
}

// nextNumber returns the number of the next routine of a date.
func (t *turn) nextNumber(m *Member, d routine.Date) (int, error) {
	r, err := t.tx.Routine(m.ID, d)
	if isNotFound(err) {
		return 1, nil
	}
	return r.Number + 1, err
}
