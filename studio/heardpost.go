package studio

import (
	"fmt"
	"math"
	"strings"

	"ledgerline/routine"
	"ledgerline/routine/sound"
)

// notQuiteSure is how sure a measurement must be to be said without a word about
// that.
const notQuiteSure = 0.85

// heardPost answers a recording: one line of figures and a picture, or why there
// are none.
func (s *Service) heardPost(v *voice, m *Member, h *Hearing) Post {
	p := h.Answer
	p.Key = Key(fmt.Sprintf("heard/%d", h.ID))
	switch {
	case h.Unfit != "":
		p.Text = v.Say("hearing.unfit", with{"why": v.Say("unheard."+string(h.Unfit), nil)})
	case h.Heard.CouldNotTell != "":
		p.Text = v.Say("hearing.could-not", with{"why": h.Heard.CouldNotTell})
	default:
		p.Text = strings.Join(heardWords(v, h), " ")
		pic := Picture{Minute: minutePicture(s.heardOf(v, m, h), h)}
		p.Pictures = []Picture{s.picture(v, m.Studio, pic)}
	}
	p.Text = strings.TrimSpace(p.Text + " " + keptWords(v, h))
	p.Choices = s.keepChoice(v, h)
	return p
}

// keptPost answers that a recording that was heard before is to be kept.
func (s *Service) keptPost(v *voice, h *Hearing) Post {
	p := h.Answer
	p.Key = Key(fmt.Sprintf("kept/%d/%d", h.ID, h.NextAt.Unix()))
	p.Text, p.Choices = keptWords(v, h), s.keepChoice(v, h)
	return p
}

// heardOf names what was played: the line, or the date.
func (s *Service) heardOf(v *voice, m *Member, h *Hearing) string {
	if len(h.Lines) == 0 {
		return v.Day(h.Date)
	}
	music := studyName(s.books(m.Studio), h.Lines[0].StudyRef()) + ", " + linesWords(v, lineNumbers(h.Lines))
	return v.Say("labelled", with{"label": h.Date, "text": music})
}

func lineNumbers(refs []routine.LineRef) (numbers []int) {
	for _, r := range refs {
		numbers = append(numbers, r.Line)
	}
	return numbers
}

// heardWords says the figures, those that matter most first.
func heardWords(v *voice, h *Hearing) []string {
	m := h.Heard
	said := []string{v.Count("hearing.heard", m.Onsets, with{"tempo": wholeTempo(m.Tempo()), "seconds": int(math.Round(m.Seconds))})}
	said = append(said, unbrokenWords(v, h)...)
	said = append(said, v.Say("hearing.even", with{"ms": int(math.Round(m.Evenness))}))
	if !h.Claim.IsZero() {
		said = append(said, v.Say("hearing.said", with{"tempo": h.Claim}))
	}
	if h.Item == 0 {
		said = append(said, v.Count("hearing.figure", h.PerBeat, nil))
	}
	if m.Confidence < notQuiteSure {
		said = append(said, v.Say("hearing.unsure", nil))
	}
	return said
}

// unbrokenWords says whether it went on without a break; of a line that is no
// minute test only where it broke.
func unbrokenWords(v *voice, h *Hearing) []string {
	m := h.Heard
	switch {
	case m.Held == sound.Unsure && (h.Test || len(m.Breaks) > 0):
		return []string{v.Say("hearing.maybe", nil)}
	case len(m.Breaks) > 0:
		return []string{v.Say("hearing.broke", with{"seconds": int(m.LongestUnbroken), "at": int(m.Breaks[0].At)})}
	case m.Held == sound.Unsure:
		return nil
	}
	return []string{v.Say("hearing.held", nil)}
}

// wholeTempo rounds a tempo as metronomes count.
func wholeTempo(t routine.Tempo) routine.Tempo {
	t.BPM = math.Round(t.BPM)
	return t
}

// minutePicture puts a measurement into figures to be drawn.
func minutePicture(title string, h *Hearing) *MinutePicture {
	m := h.Heard
	p := &MinutePicture{Title: title, Seconds: m.Seconds, Note: m.Beat, Goal: h.Goal.BPM}
	for _, at := range m.Times {
		p.Onsets = append(p.Onsets, math.Round(1000*(at-m.Times[0]))/1000)
	}
	for _, point := range m.Course(h.PerBeat) {
		p.Course = append(p.Course, MinutePoint{At: point.At, BPM: point.BPM})
	}
	for _, b := range m.Breaks {
		p.Breaks = append(p.Breaks, b.At)
	}
	return p
}

// digestHeard says for the teacher what was typed and what was heard, apart.
func digestHeard(v *voice, hearings []Hearing) []string {
	var lines []string
	for _, h := range hearings {
		if h.Heard == nil {
			continue
		}
		w := with{"day": h.Date, "said": v.Say("digest.nothing-said", nil), "heard": h.Heard.CouldNotTell}
		if !h.Claim.IsZero() {
			w["said"] = h.Claim
		}
		if h.Heard.CouldNotTell == "" {
			words := append([]string{v.Tempo(wholeTempo(h.Heard.Tempo()))}, unbrokenWords(v, &h)...)
			w["heard"] = v.Apart(words)
		}
		line := v.Say("digest.heard", w)
		if isKept(&h) {
			line += v.Say("digest.recording-kept", with{"number": h.ID})
		}
		lines = append(lines, line)
	}
	return lines
}
