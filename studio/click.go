package studio

import (
	"strconv"
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
	mostStrokes  = 10  // a second
	testSeconds  = 60  // of a minute test
	climbSeconds = 120 // of a climb to the goal
)

// click makes a click for an item of today: of a minute test at its tempo, of
// another from today's tempo to the goal, mark by mark. Its measure may be given.
func (t *turn) click(args []string) (Post, error) {
	r, err := routineOn(t.tx, t.who.ID, t.who.dateAt(t.msg.At))
	if err != nil {
		return Post{}, err
	}
	var given *measure
	if n := len(args); n > 0 && strings.Contains(args[n-1], "/") {
		m, ok := parseMeasure(args[n-1])
		if !ok {
			return Post{}, usage("wrong.click-measure", nil)
		}
		given, args = &m, args[:n-1]
	}
	item := clickItem(r, args)
	if item == nil {
		return Post{}, usage("wrong.click", nil)
	}
	k := click.Click{From: item.To, CountIn: clickCountIn, Seconds: testSeconds}
	if !item.Test {
		key := routine.StandingKey{Line: item.Lines[0], Pass: item.Pass}
		if rule, ok := t.rule(t.studio.ID, key); ok && rule.Goal.Compare(k.From) > 0 {
			k.To, k.Seconds = rule.Goal, climbSeconds
		}
	}
	t.beat(&k, item, given)
	if k.Check() != nil {
		return Post{}, usage("wrong.click", nil)
	}
	p := Post{Click: &k}
	var marks []string
	for _, m := range k.Marks() {
		marks = append(marks, t.voice.Number(m.BPM))
	}
	p.Text = t.voice.Count("click.made", clickCountIn, with{"number": item.N, "note": k.From.Note, "marks": strings.Join(marks, ", ")}) +
		" " + t.voice.Count("click.bar", k.Meter, nil)
	return p, nil
}

// beat sets the beats of a click: as the measure has them that was given, or else
// by the line that is played. Triplets are struck between the beats, where they
// are slow enough to be told apart.
func (t *turn) beat(k *click.Click, item *routine.Item, given *measure) {
	line := t.books(t.studio.ID).Line(item.Lines[0])
	switch {
	case given != nil:
		k.Meter, k.Divide = given.beats, given.divide
		if given.beat != k.From.Note {
			k.From = k.From.In(given.beat)
			if !k.To.IsZero() {
				k.To = k.To.In(given.beat)
			}
		}
	case line != nil:
		k.Meter = beatsInBar(line.Beats)
	default:
		k.Meter = clickMeter
	}
	if line != nil && line.NotesPerBeat == 3 && k.Divide == 0 {
		k.Divide = 3
	}
	if max(k.From.BPM, k.To.BPM)*float64(k.Divide)/60 > mostStrokes {
		k.Divide = 0
	}
}

// beatsInBar returns the bar that a line of so many beats fills: of four beats if
// it can, else of three or two. Common practice.
func beatsInBar(beats int) int {
	for _, n := range []int{4, 3, 2} {
		if beats%n == 0 {
			return n
		}
	}
	return clickMeter
}

// A measure is what a time signature says of the beats.
type measure struct {
	beats  int // a bar
	beat   routine.NoteValue
	divide int // of a beat: 3 in a compound measure, else 0
}

// parseMeasure reads a time signature. Six, nine and twelve eighths are two, three
// and four dotted quarters, as is common practice.
func parseMeasure(s string) (m measure, ok bool) {
	above, below, _ := strings.Cut(s, "/")
	n, err := strconv.Atoi(above)
	beat, known := map[string]routine.NoteValue{"2": routine.Half, "4": routine.Quarter, "8": routine.Eighth}[below]
	switch {
	case err != nil || !known || n < 1 || n > 12:
		return m, false
	case n > 3 && n%3 == 0 && beat == routine.Eighth:
		return measure{n / 3, routine.DottedQuarter, 3}, true
	}
	return measure{n, beat, 0}, true
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

var clickNames = [...]string{"click.wav", "click.mid"}

// clickFiles returns the files of a click; none if there is none.
func clickFiles(k *click.Click) []Attached {
	if k == nil {
		return nil
	}
	return []Attached{{clickNames[0], "audio/wav", k.WAV()}, {clickNames[1], "audio/midi", k.MIDI()}}
}
