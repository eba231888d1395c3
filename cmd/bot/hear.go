package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"

	"ledgerline/adapters/audio"
	"ledgerline/routine"
	"ledgerline/routine/sound"
)

// hearCmd measures a minute test in a file.
type hearCmd struct {
	Figure   string  `help:"What was played: quarter, eighth, triplet, sixteenth." enum:"quarter,eighth,triplet,sixteenth" default:"sixteenth"`
	Assigned string  `help:"The tempo that was set, such as quarter=96. It can decide between two readings and adds no note." placeholder:"TEMPO"`
	Seconds  float64 `help:"How long the notes are to go on unbroken." default:"60"`
	File     string  `arg:"" help:"Sound file; - for standard input."`
}

// Help shows the answer.
func (hearCmd) Help() string {
	return `One object on one line:
  {"onsets":576,"seconds":60.0,"notes_per_second":9.6,"tempo":144,"note":"quarter",
   "longest_unbroken_s":60.0,"held":"yes","evenness_ms":4.1,"drift_percent":-0.4,
   "breaks":[{"at_s":31.2,"gap_s":0.21}],"confidence":0.98,"could_not_tell":""}

evenness_ms is the spread (standard deviation) of the steps from note to note around
those about them. held is yes, no or unsure. If could_not_tell says why, all else is zero.`
}

func (c *hearCmd) Run(ctx context.Context, in io.Reader, out io.Writer) error {
	ask := sound.Ask{PerBeat: notesInQuarter(c.Figure), Beat: routine.Quarter, Seconds: c.Seconds}
	if c.Assigned != "" {
		var err error
		if ask.Assigned, err = routine.ParseTempo(c.Assigned); err != nil {
			return err
		}
	}
	if !(c.Seconds >= 1 && c.Seconds <= audio.Usual.Length.Seconds()) {
		return fmt.Errorf("--seconds %g: write how long the notes are to go on, from 1 to %g", c.Seconds, audio.Usual.Length.Seconds())
	}
	data, err := c.read(in)
	if err != nil {
		return err
	}
	heard, err := audio.Decode(ctx, data, audio.Usual)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	return json.NewEncoder(out).Encode(sound.Measure(heard.Samples, heard.Rate, ask).Rounded())
}

func (c *hearCmd) read(in io.Reader) ([]byte, error) {
	if c.File != "-" {
		file, err := os.Open(c.File)
		if err != nil {
			return nil, fmt.Errorf("%w; give the path of a sound file, or - for standard input", err)
		}
		defer file.Close()
		if info, err := file.Stat(); err == nil && info.IsDir() {
			return nil, fmt.Errorf("%s is a folder; give the path of a sound file in it", c.File)
		}
		in = file
	}
	return io.ReadAll(io.LimitReader(in, int64(audio.Usual.Bytes)+1))
}

// notesInQuarter returns how many notes of a figure fall on a quarter.
func notesInQuarter(figure string) int {
	switch figure {
	case "quarter":
		return 1
	case "eighth":
		return 2
	case "triplet":
		return 3
	}
	return 4
}

// listenCmd is the process that listens to a recording of a stranger's.
type listenCmd struct{}

func (listenCmd) Run(ctx context.Context, in io.Reader, out io.Writer) error {
	return audio.Serve(ctx, in, out)
}
