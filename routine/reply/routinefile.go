package reply

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"ledgerline/routine"
)

// maxItems is how many items of a routine a message can speak of. A day has
// seldom more than ten.
const maxItems = 60

// routineFile is the JSON form of a routine, as `bot read` takes it.
type routineFile struct {
	Items []routineFileItem `json:"items"`
}

type routineFileItem struct {
	N       int               `json:"n"`
	Book    string            `json:"book"`
	Study   int               `json:"study"`
	Title   string            `json:"title"`
	Lines   []int             `json:"lines"`
	Skill   routine.Skill     `json:"skill"`
	Key     string            `json:"key"`
	Note    routine.NoteValue `json:"note"`
	From    float64           `json:"from"`
	To      float64           `json:"to"`
	Minutes int               `json:"minutes"`
}

// DecodeRoutine reads a routine in JSON:
//
//	{"items":[{"n":1,"book":"Daily Ground","study":2,"lines":[14,15,16],
//	 "skill":"technique","key":"Eb","note":"quarter","from":84,"to":92,"minutes":8}]}
//
// Items are numbered from 1 in order, and there are at most 60. Everything but
// n may be left out; an item with a tempo and no note counts in quarters. The
// title of the study ("title") is read too. The error is one sentence that says
// which item is wrong and what to write.
func DecodeRoutine(r io.Reader) (*routine.Routine, error) {
	var file routineFile
	if err := json.NewDecoder(r).Decode(&file); err != nil {
		return nil, describeJSON(err)
	}
	if len(file.Items) == 0 || len(file.Items) > maxItems {
		return nil, fmt.Errorf("routine: %d items; write between 1 and %d under \"items\"", len(file.Items), maxItems)
	}
	out := &routine.Routine{Number: 1}
	for i, f := range file.Items {
		item, err := f.item(i + 1)
		if err != nil {
			return nil, err
		}
		out.Items = append(out.Items, item)
		out.Minutes += item.Minutes
	}
	return out, nil
}

// describeJSON says in one sentence what is wrong with a file that is not the
// JSON of a routine.
func describeJSON(err error) error {
	var typ *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	switch {
	case errors.Is(err, io.EOF):
		return errors.New(`routine: the file is empty; write {"items":[{"n":1,"book":"Daily Ground","minutes":8}]}`)
	case errors.As(err, &typ):
		return fmt.Errorf("routine: %q is a %s at byte %d; write a %s", typ.Field, typ.Value, typ.Offset, typ.Type.Kind())
	case errors.As(err, &syntax):
		return fmt.Errorf("routine: not JSON at byte %d (%v); check commas, quotes and brackets there", syntax.Offset, syntax)
	}
	return fmt.Errorf("routine: %w", err)
}

// item returns the n-th item of a routine.
func (f routineFileItem) item(n int) (routine.Item, error) {
	switch {
	case f.N != n:
		return routine.Item{}, fmt.Errorf("routine: item %d of the list has n = %d; number the items 1, 2, 3 in order", n, f.N)
	case f.Skill != "" && !slices.Contains(routine.Skills(), f.Skill):
		return routine.Item{}, fmt.Errorf("routine: item %d: skill %q; write one of %v", n, f.Skill, routine.Skills())
	case f.From < 0 || f.From > 1000 || f.To < 0 || f.To > 1000:
		return routine.Item{}, fmt.Errorf("routine: item %d: tempo %v to %v; write numbers between 0 and 1000", n, f.From, f.To)
	case f.From > 0 && f.To > 0 && f.To < f.From:
		return routine.Item{}, fmt.Errorf("routine: item %d: tempo %v to %v goes down; write the slower one as from", n, f.From, f.To)
	case f.Minutes < 0:
		return routine.Item{}, fmt.Errorf("routine: item %d: %d minutes; write 0 or more", n, f.Minutes)
	}
	study := routine.StudyRef{Book: bookID(f.Book), Study: f.Study}
	item := routine.Item{
		N: n, Book: f.Book, Title: f.Title, Study: study, Key: f.Key, Skill: f.Skill,
		From: f.tempo(f.From, f.To), To: f.tempo(f.To, f.From), Minutes: f.Minutes,
	}
	for _, l := range f.Lines {
		item.Lines = append(item.Lines, study.Line(l))
	}
	return item, nil
}

// tempo returns bpm, or the other end if bpm is not given, in the item's note.
func (f routineFileItem) tempo(bpm, other float64) routine.Tempo {
	if bpm == 0 {
		bpm = other
	}
	if bpm == 0 {
		return routine.Tempo{}
	}
	note := f.Note
	if note == 0 {
		note = routine.Quarter
	}
	return routine.Tempo{BPM: bpm, Note: note}
}

// bookID makes an id of a title: "Upward, Gently" is "upward-gently".
func bookID(title string) routine.BookID {
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9')
	})
	return routine.BookID(strings.Join(words, "-"))
}
