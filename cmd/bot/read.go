package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// readCmd reads replies for scripts.
type readCmd struct {
	Routine string `required:"" help:"File with the routine as JSON." placeholder:"FILE"`
	Today   string `help:"Date the replies are written on, such as 2026-03-04; by default today's, here." placeholder:"DATE"`
	Lang    string `help:"Language of the replies beside English." enum:"en,de,fr,es" default:"en"`
	Explain bool   `help:"Show which words were read as what, instead of the reading."`
	File    string `arg:"" optional:"" default:"-" help:"File with one reply a line; - for standard input."`
}

// Help shows the two forms that scripts need.
func (readCmd) Help() string {
	return `The routine file:
  {"items":[{"n":1,"book":"Daily Ground","study":2,"lines":[14,15,16],"skill":"technique",
             "key":"Eb","note":"quarter","from":84,"to":92,"minutes":8}]}

One object for each day a reply speaks of, one a line; what is empty is left out:
  {"text":"…","kind":"report|correction|chat|question","day":"2026-03-04",
   "excused":"ill|travel|rest|lesson|performance","all":"done|partly|none","minutes":40,
   "items":[{"n":1,"outcome":"clean|shaky|missed|skipped|done",
             "tempo":{"from":84,"to":92,"note":"quarter","approx":false},
             "reps":3,"of":4,"minutes":10,"remark":"…"}],
   "feel":"fresh|tired","pain":false,"ask":[{"about":"item 2","choices":["…","…"]}]}

note is one of whole, half, dotted-half, quarter, dotted-quarter, eighth,
dotted-eighth, sixteenth. from is there only where a way was said, as in 84 to 92.

With --explain, one object for each reply:
  {"text":"2 clean","words":[{"text":"2","as":"item"},{"text":"clean","as":"outcome"}]}`
}

func (c *readCmd) Run(in io.Reader, out io.Writer) error {
	file, err := os.Open(c.Routine)
	if err != nil {
		return err
	}
	defer file.Close()
	set, err := reply.DecodeRoutine(file)
	if err != nil {
		return fmt.Errorf("routine %s: %w", c.Routine, err)
	}
	today := routine.DateOf(time.Now(), time.Local)
	if c.Today != "" {
		if today, err = routine.ParseDate(c.Today); err != nil {
			return err
		}
	}
	set.Date = today
	reader, err := reply.NewReader()
	if err != nil {
		return err
	}
	if c.File != "-" {
		replies, err := os.Open(c.File)
		if err != nil {
			return err
		}
		defer replies.Close()
		in = replies
	}
	return reader.Stream(in, out, reply.Context{Routine: set, Today: today, Lang: c.Lang}, c.Explain)
}
