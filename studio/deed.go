package studio

import (
	"slices"
	"strconv"
	"strings"
	"time"
)

// A Deed is something that somebody who is no student had the bot do.
type Deed struct {
	ID      int64     `json:"id"` // 0 until it is kept
	Studio  StudioID  `json:"studio"`
	Member  MemberID  `json:"member"` // who did it
	Role    Role      `json:"role"`   // as what
	At      time.Time `json:"at"`
	Command string    `json:"command"`
	Words   string    `json:"words,omitempty"` // what followed it; what was told to a student is left out
}

// note keeps what the author did by a command, unless she is a student: students
// can change only what is theirs.
func (t *turn) note(cmd command, args []string) error {
	if t.who.Role == Student {
		return nil
	}
	switch cmd.name {
	case "after":
		return nil // each part of it is a deed of its own
	case "tell", "note":
		args = args[:min(1, len(args))]
	case "erase":
		args = nil // nobody is to be named any longer
	}
	return t.tx.PutDeed(&Deed{
		Studio: t.studio.ID, Member: t.who.ID, Role: t.who.Role, At: t.now(),
		Command: cmd.name, Words: strings.Join(args, " "),
	})
}

const (
	usualDeeds = 20
	mostDeeds  = 200
)

// deeds shows what was done lately.
func (t *turn) deeds(args []string) (Post, error) {
	n := usualDeeds
	if len(args) > 0 {
		var err error
		if n, err = strconv.Atoi(args[0]); err != nil || n < 1 || n > mostDeeds {
			return Post{}, usage("wrong.deeds", with{"most": mostDeeds})
		}
	}
	all, err := t.tx.Deeds(t.studio.ID, n)
	if err != nil {
		return Post{}, err
	}
	if len(all) == 0 {
		return t.answered("deeds.none", nil)
	}
	members, err := t.tx.Members(t.studio.ID)
	if err != nil {
		return Post{}, err
	}
	var lines []string
	for _, d := range all {
		who := string(d.Member)
		if i := slices.IndexFunc(members, func(m Member) bool { return m.ID == d.Member }); i >= 0 {
			who = members[i].Name
		}
		at := d.At.In(locationOf(t.studio.Zone)).Format("2006-01-02 15:04")
		lines = append(lines, t.voice.Say("labelled", with{"label": at + " " + who, "text": orderOf(t.voice, d.Command, d.Words)}))
	}
	return Post{Title: t.voice.Say("deeds.title", with{"number": len(all)}), Text: strings.Join(lines, "\n")}, nil
}
