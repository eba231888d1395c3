package studio

import (
	"strings"

	"ledgerline/routine"
	"ledgerline/routine/click"
)

// An Attached is a file that goes with a post.
type Attached struct {
	Name string
	Type string // MIME type
	Data []byte
}

// Usual clicks. Common practice.
const (
	clickMeter   = 4
	clickCountIn = 1   // bars
	testSeconds  = 60  // of a minute test
	climbSeconds = 120 // of a climb to the goal
)

// click makes a click for an item of today: of a minute test at its tempo, of
// another from today's tempo to the goal, mark by mark.
func (t *turn) click(args []string) (Post, error) {
	r, err := routineOn(t.tx, t.who.ID, t.who.dateAt(t.msg.At))
	if err != nil {
		return Post{}, err
	}
	item := clickItem(r, args)
	if item == nil {
		return Post{}, usage("wrong.click", nil)
	}
	k := click.Click{From: item.To, Meter: clickMeter, CountIn: clickCountIn, Seconds: testSeconds}
	if !item.Test {
		key := routine.StandingKey{Line: item.Lines[0], Pass: item.Pass}
		if rule, ok := t.rule(t.studio.ID, key); ok && rule.Goal.Compare(k.From) > 0 {
			k.To, k.Seconds = rule.Goal, climbSeconds
		}
	}
	if k.Check() != nil {
		return Post{}, usage("wrong.click", nil)
	}
	p := Post{Click: &k}
	var marks []string
	for _, m := range k.Marks() {
		marks = append(marks, t.voice.Number(m.BPM))
	}
	p.Text = t.voice.Count("click.made", clickCountIn, with{"number": item.N, "note": k.From.Note, "marks": strings.Join(marks, ", ")})
	return p, nil
}

// clickItem returns the item of a routine that a click is asked for: by its
// number, or else the minute test, or the first that has a tempo.
func clickItem(r *routine.Routine, args []string) *routine.Item {
	if r == nil || len(args) > 1 {
		return nil
	}
	var first *routine.Item
	n, numbered := number(args)
	if len(args) == 1 && !numbered {
		return nil
	}
	for i := range r.Items {
		it := &r.Items[i]
		switch {
		case it.To.IsZero() || len(it.Lines) == 0 || numbered && it.N != n:
		case numbered || it.Test:
			return it
		case first == nil:
			first = it
		}
	}
	return first
}

// clickFiles returns the files of a click; none if there is none.
func clickFiles(k *click.Click) []Attached {
	if k == nil {
		return nil
	}
	return []Attached{{"click.wav", "audio/wav", k.WAV()}, {"click.mid", "audio/midi", k.MIDI()}}
}
