package sound

import (
	"math"
	"slices"

	"ledgerline/routine"
)

// An Ask says what was to be played. The zero Ask is sixteenths in quarters,
// held for a minute.
type Ask struct {
	PerBeat  int               // notes a beat: 4 for sixteenths in quarters, 3 for triplets
	Beat     routine.NoteValue // what a beat is; quarter if none
	Assigned routine.Tempo     // the tempo that was set, if any
	Seconds  float64           // how long the notes were to go on unbroken; 60 if 0
}

func (a Ask) filled() Ask {
	if a.PerBeat == 0 {
		a.PerBeat = 4
	}
	if a.Beat == 0 {
		a.Beat = routine.Quarter
	}
	if a.Seconds == 0 {
		a.Seconds = 60
	}
	return a
}

// A Measurement is what was heard. If CouldNotTell says something, it is the
// whole answer: no other field is set.
type Measurement struct {
	Onsets          int               `json:"onsets"`             // notes
	Seconds         float64           `json:"seconds"`            // from the first note to where one more would have begun
	NotesPerSecond  float64           `json:"notes_per_second"`   // while playing; breaks are left out
	BPM             float64           `json:"tempo"`              // the tempo this means
	Beat            routine.NoteValue `json:"note"`               // what the tempo counts
	LongestUnbroken float64           `json:"longest_unbroken_s"` // seconds
	Held            Verdict           `json:"held"`               // whether it went on unbroken for as long as was asked
	Evenness        float64           `json:"evenness_ms"`        // spread of the steps between notes around those about them (standard deviation)
	Drift           float64           `json:"drift_percent"`      // change of tempo from the first to the last 15 seconds
	Breaks          []Break           `json:"breaks"`             // in order; the first is where it first broke
	Confidence      float64           `json:"confidence"`         // 0 to 1
	CouldNotTell    Doubt             `json:"could_not_tell"`     // why there is no answer; "" if there is one
	Times           []float64         `json:"-"`                  // of the notes, seconds from the start of the sound
}

// A Verdict is an answer to whether something was so.
type Verdict string

// The verdicts. Unsure is for sounds that can be heard either way.
const (
	Yes    Verdict = "yes"
	No     Verdict = "no"
	Unsure Verdict = "unsure"
)

// A Break is a place where a note did not come.
type Break struct {
	At     float64 `json:"at_s"`  // seconds after the first note
	Length float64 `json:"gap_s"` // seconds from the note before it to the note after it
}

// Tempo returns the tempo that was heard; none if there is no answer.
func (m *Measurement) Tempo() routine.Tempo { return routine.Tempo{BPM: m.BPM, Note: m.Beat} }

// Rounded returns the measurement with no more decimals than it can be trusted
// for.
func (m Measurement) Rounded() Measurement {
	round := func(x, unit float64) float64 { return math.Round(x/unit)/(1/unit) + 0 } // + 0: not -0
	m.Seconds = round(m.Seconds, 0.1)
	m.NotesPerSecond = round(m.NotesPerSecond, 0.01)
	m.BPM = round(m.BPM, 0.1)
	m.LongestUnbroken = round(m.LongestUnbroken, 0.1)
	m.Evenness = round(m.Evenness, 0.1)
	m.Drift = round(m.Drift, 0.1)
	m.Confidence = round(m.Confidence, 0.01)
	breaks := []Break{}
	for _, b := range m.Breaks {
		breaks = append(breaks, Break{At: round(b.At, 0.1), Length: round(b.Length, 0.01)})
	}
	m.Breaks = breaks
	return m
}

// What counts as held, broken and drifting. Common practice, except where a
// reason is given.
const (
	breakAt     = 1.55 // of the usual step: nearer to a missing note than to a late one
	graceBeats  = 1.0  // a minute that ends a beat early was held
	driftWindow = 15.0 // seconds at either end
)

// Measure listens to samples of one channel, rate a second, 1 being full scale.
func Measure(samples []float32, rate int, ask Ask) Measurement {
	ask = ask.filled()
	if why := unfit(samples, rate); why != "" {
		return Measurement{CouldNotTell: why}
	}
	m := measure(analyse(samples, rate), ask)
	if m.CouldNotTell != "" && m.CouldNotTell != TooShort && clipped(samples) {
		m.CouldNotTell = Clipped
	}
	return m
}

func measure(s *spectrogram, ask Ask) Measurement {
	start, s, why := played(s, ask)
	if why != "" {
		return Measurement{CouldNotTell: why}
	}
	l := weigh(s)
	all := pickings(l, sameCount)
	p, why := choose(all, ask, leastTrust)
	if why != "" {
		return Measurement{CouldNotTell: l.blame(s, why)}
	}
	others := alsoHeard(all, p)
	p = trim(p, l)
	checks := compare(p, l, s)
	if why := checks.doubt(p); why != "" {
		return Measurement{CouldNotTell: l.blame(s, why)}
	}
	m := figures(p.onsets, ask)
	m.Confidence = checks.confidence(p)
	doubtful := p.doubtful(&m)
	for _, other := range others {
		m.hearOther(figures(trim(other, l).onsets, ask))
	}
	if m.Confidence < leastConfidence {
		return Measurement{CouldNotTell: Unclear}
	}
	if m.Confidence < leastSure || len(others) == 0 || doubtful {
		m.Held = Unsure
	}
	for i := range m.Times {
		m.Times[i] += start
	}
	return m
}

// hearOther takes note of what another good listener made of the same sound.
func (m *Measurement) hearOther(o Measurement) {
	const sure, unsure = 0.01, 0.8
	if o.Held != m.Held {
		m.Held = Unsure
	}
	if math.Abs(float64(o.Onsets-m.Onsets)) > max(1, sure*float64(m.Onsets)) {
		m.Confidence *= unsure
	}
}

// leastSure is how sure the whole must be for a verdict on whether it was held.
const leastSure = 0.9

// doubtful reports whether a closer look at each break, or at each note of a
// stretch without one, leaves a doubt: a hump where a note seems to be missing,
// or a note that hardly stands out.
func (p *picking) doubtful(m *Measurement) bool {
	const hardly = 0.3 // of the usual height
	first := p.onsets[0]
	for _, b := range m.Breaks {
		step := b.Length / math.Round(b.Length*m.NotesPerSecond)
		from, to := first+b.At-step/2, first+b.At+b.Length-step
		for _, h := range p.faint {
			if at := float64(h.at) / framesPerSecond; at > from && at < to {
				return true
			}
		}
	}
	var heights []float64
	for _, h := range p.notes {
		heights = append(heights, h.height)
	}
	usual := middle(heights)
	return m.Held == Yes && slices.Min(heights) < hardly*usual
}

// played cuts out what was played, by a first and lenient listening, so that
// talk around it neither sets the floors nor is counted. start is where the cut
// begins, in seconds.
func played(s *spectrogram, ask Ask) (start float64, cut *spectrogram, why Doubt) {
	const before, after = 0.3, 0.6 // seconds left around the notes
	l := weigh(s)
	p, why := choose(pickings(l, roughlySameCount), ask, leastTrust/3)
	if why != "" {
		return 0, nil, l.blame(s, why)
	}
	p = trim(p, l)
	from := max(0, int((p.onsets[0]-before)*framesPerSecond))
	to := min(s.frames(), int((p.onsets[len(p.onsets)-1]+after)*framesPerSecond))
	return float64(from) / framesPerSecond, s.part(from, to), ""
}

// figures works out all that the times of the notes say.
func figures(onsets []float64, ask Ask) Measurement {
	steps := gaps(onsets)
	usual := around(steps)
	m := Measurement{Onsets: len(onsets), Times: onsets, Beat: ask.Beat, Breaks: []Break{}}
	m.Seconds = onsets[len(onsets)-1] - onsets[0] + usual[len(usual)-1]
	var played, squares float64
	even, from := 0, 0
	for i, step := range steps {
		if step > breakAt*usual[i] {
			m.Breaks = append(m.Breaks, Break{At: onsets[i] - onsets[0] + usual[i], Length: step})
			m.unbroken(onsets[i] - onsets[from] + usual[i])
			from = i + 1
			continue
		}
		played += step
		squares += (step - usual[i]) * (step - usual[i])
		even++
	}
	m.unbroken(onsets[len(onsets)-1] - onsets[from] + usual[len(usual)-1])
	m.NotesPerSecond = float64(even) / played
	m.BPM = m.NotesPerSecond * 60 / float64(ask.PerBeat)
	m.Evenness = 1000 * math.Sqrt(squares/float64(even))
	m.Drift = drift(onsets, steps, usual)
	m.Held = No
	if m.LongestUnbroken >= ask.Seconds-graceBeats*60/m.BPM {
		m.Held = Yes
	}
	return m
}

func (m *Measurement) unbroken(seconds float64) {
	m.LongestUnbroken = max(m.LongestUnbroken, seconds)
}

// drift returns by how many percent the last notes are faster than the first.
func drift(onsets, steps, usual []float64) float64 {
	first, last := onsets[0], onsets[len(onsets)-1]
	window := min(driftWindow, (last-first)/2)
	pace := func(from, to float64) float64 {
		n, sum := 0.0, 0.0
		for i, step := range steps {
			if onsets[i] >= from && onsets[i+1] <= to && step <= breakAt*usual[i] {
				n, sum = n+1, sum+step
			}
		}
		return n / sum
	}
	d := 100 * (pace(last-window, last)/pace(first, first+window) - 1)
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return 0
	}
	return d
}
