package audio

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/sound"
	"ledgerline/routine/sound/soundtest"
)

// samplesPackage holds recorded trumpet notes, CC BY 3.0 by its README
// (https://creativecommons.org/licenses/by/3.0/), collected by its makers from
// public-domain recordings. It is fetched once and not kept here.
const samplesPackage = "tonejs-instrument-trumpet-wav@1.1.0"

// samples returns the folder of the recorded notes.
func samples(t *testing.T) string {
	t.Helper()
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = t.TempDir()
	}
	dir := filepath.Join(cache, "ledgerline-tests", strings.ReplaceAll(samplesPackage, "@", "-"))
	if _, err := os.Stat(filepath.Join(dir, "package", "A3.wav")); err == nil {
		return filepath.Join(dir, "package")
	}
	need(t, "npm", "tar")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	pack := exec.Command("npm", "pack", "--silent", samplesPackage)
	pack.Dir = dir
	out, err := pack.Output()
	if err != nil {
		t.Skipf("The recorded notes can't be fetched here (npm pack %s: %v), so hearing is not tried on them.", samplesPackage, err)
	}
	do(t, "tar", "-xzf", filepath.Join(dir, strings.TrimSpace(string(out))), "-C", dir)
	return filepath.Join(dir, "package")
}

// A player is somebody to listen to: a name and how she sounds when she plays.
type player struct {
	name string
	kind string // recorded, or synthesised
	play func(t *testing.T, notes []soundtest.Note) (x []float32, rate int)
}

// recorded plays one of the recorded trumpet notes.
func recorded(dir, note string) player {
	return player{"trumpet " + note, "recorded", func(t *testing.T, notes []soundtest.Note) ([]float32, int) {
		s := decodeFile(t, filepath.Join(dir, note+".wav"))
		v := soundtest.Voice{Samples: s.Samples, Rate: s.Rate}
		v.Attack = attackOf(v)
		return v.Play(notes), s.Rate
	}}
}

// attackOf returns when a note first reaches half the level of its first
// quarter of a second.
func attackOf(v soundtest.Voice) float64 {
	peak := float32(0)
	for _, s := range v.Samples[:v.Rate/4] {
		peak = max(peak, s, -s)
	}
	for i, s := range v.Samples {
		if max(s, -s) > peak/2 {
			return float64(i) / float64(v.Rate)
		}
	}
	return 0
}

// synthesised lets Debian's fluidsynth play a MIDI file with its free sound font:
// notes, releases and echo are all its own.
func synthesised(name string, program, key byte) player {
	const font = "/usr/share/sounds/sf2/FluidR3_GM.sf2"
	return player{name, "synthesised", func(t *testing.T, notes []soundtest.Note) ([]float32, int) {
		need(t, "fluidsynth")
		if _, err := os.Stat(font); err != nil {
			t.Skip("There is no sound font here (fluid-soundfont-gm), so its instruments are not heard.")
		}
		dir := t.TempDir()
		mid, wav := filepath.Join(dir, "in.mid"), filepath.Join(dir, "out.wav")
		if err := os.WriteFile(mid, midi(notes, program, key), 0o600); err != nil {
			t.Fatal(err)
		}
		do(t, "fluidsynth", "-ni", "-g", "0.6", "-r", "44100", "-F", wav, font, mid)
		s := decodeFile(t, wav)
		return s.Samples, s.Rate
	}}
}

// midi writes notes as a MIDI file of one track, 1000 ticks a second.
func midi(notes []soundtest.Note, program, key byte) []byte {
	type event struct {
		at   int
		data []byte
	}
	var events []event
	for _, n := range notes {
		loud := byte(max(1, min(127, 90*math.Pow(10, n.Level/40))))
		events = append(events, event{int(math.Round(n.At * 1000)), []byte{0x90, key, loud}},
			event{int(math.Round((n.At + n.Length) * 1000)), []byte{0x80, key, 64}})
	}
	slices.SortStableFunc(events, func(a, b event) int { return a.at - b.at })
	track := []byte{0, 0xFF, 0x51, 3, 0x07, 0xA1, 0x20, 0, 0xC0, program} // half a second a quarter
	now := 0
	for _, e := range events {
		var delta []byte
		for d := e.at - now; ; d >>= 7 {
			delta = append([]byte{byte(d&0x7F) | 0x80}, delta...)
			if d < 0x80 {
				break
			}
		}
		delta[len(delta)-1] &= 0x7F
		track = append(append(track, delta...), e.data...)
		now = e.at
	}
	track = append(track, 0, 0xFF, 0x2F, 0)
	b := []byte{'M', 'T', 'h', 'd', 0, 0, 0, 6, 0, 0, 0, 1, 500 >> 8, 500 & 0xFF, 'M', 'T', 'r', 'k'}
	b = append(b, byte(len(track)>>24), byte(len(track)>>16), byte(len(track)>>8), byte(len(track)))
	return append(b, track...)
}

// A condition is what happens to the sound before it is heard.
type condition struct {
	name string
	do   func(t *testing.T, x []float32, rate int, rng *rand.Rand) (heard []float32, heardRate int)
}

func conditions() []condition {
	room := func(x []float32, rate int, rng *rand.Rand) []float32 { return soundtest.Room(x, rate, 0.5, -8, rng) }
	voiceMessage := func(kbits int) condition {
		return condition{fmt.Sprintf("room, talk, Opus %d kbit/s", kbits), func(t *testing.T, x []float32, rate int, rng *rand.Rand) ([]float32, int) {
			return opusAt(t, soundtest.Noise(withTalk(t, room(x, rate, rng), rate), 40, rng), rate, kbits)
		}}
	}
	return []condition{
		{"clean", func(_ *testing.T, x []float32, rate int, _ *rand.Rand) ([]float32, int) { return x, rate }},
		{"room", func(_ *testing.T, x []float32, rate int, rng *rand.Rand) ([]float32, int) {
			return room(x, rate, rng), rate
		}},
		{"room, noise 20 dB", func(_ *testing.T, x []float32, rate int, rng *rand.Rand) ([]float32, int) {
			return soundtest.Noise(room(x, rate, rng), 20, rng), rate
		}},
		{"room, noise 10 dB", func(_ *testing.T, x []float32, rate int, rng *rand.Rand) ([]float32, int) {
			return soundtest.Noise(room(x, rate, rng), 10, rng), rate
		}},
		voiceMessage(32), voiceMessage(24), voiceMessage(16),
	}
}

// talkBefore is how long somebody talks before the first and after the last note.
const talkBefore = 2.0

// withTalk puts two seconds of talk (made by espeak-ng) over the first and the
// last two seconds, about as loud as the notes.
func withTalk(t *testing.T, x []float32, rate int) []float32 {
	talk := soundtest.Level(decodeFile(t, filepath.Join("testdata", "talk.opus")).Samples, 0.5)
	out := soundtest.Mix(soundtest.Level(x, 0.5), make([]float32, len(x)+rate))
	for i := range int(talkBefore * float64(rate)) {
		out[i] += talk[i*opusRate/rate]
		out[len(out)-1-int(talkBefore*float64(rate))+i] += talk[2*opusRate+i*opusRate/rate]
	}
	return out
}

func opusAt(t *testing.T, x []float32, rate, kbits int) ([]float32, int) {
	need(t, "opusenc")
	cmd := exec.Command("opusenc", "--quiet", "--bitrate", fmt.Sprint(kbits), "-", "-")
	cmd.Stdin = bytes.NewReader(soundtest.WAV(soundtest.Level(x, 0.6), rate))
	file, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	s, err := Decode(t.Context(), file, Usual)
	if err != nil {
		t.Fatal(err)
	}
	return s.Samples, s.Rate
}

// What the table must keep to: at most one wrong answer in so many, and at most
// one in so many without an answer.
const (
	mostWrong  = 8
	mostSilent = 2
)

// A tally adds up what was heard under one condition.
type tally struct {
	runs, silent           int
	counts, tempi          []float64 // errors, shares
	f50, f25, f10, spread  []float64
	falseHeld, falseBroken int
	unsure                 int
	wrong                  []string // confident, and off by more than TestTable allows
}

// TestTable plays minute tests that are known note for note and prints how they
// were heard. The notes and instruments are none of those that the settings of
// routine/sound were tried on. An answer is wrong if the count is off by more than
// 1 % or one note, the tempo by more than 1 % or half a note in the time played
// (which is more only in the short renders of the usual run), or if it says held
// or broken and it was not.
//
// LEDGERLINE_TABLE=full plays whole minutes, all tempi and players; full,3 every
// third of them. LEDGERLINE_TABLE=tried,5 plays every fifth of those that the
// settings were tried on.
func TestTable(t *testing.T) {
	dir := samples(t)
	which, every, _ := strings.Cut(os.Getenv("LEDGERLINE_TABLE"), ",")
	seconds, stride := 15.0, 29
	if which != "" {
		seconds, stride = 60, 1
	}
	if n, err := strconv.Atoi(every); err == nil && n > 0 {
		stride = n
	}
	players := []player{recorded(dir, "As3"), recorded(dir, "G4"), recorded(dir, "F5"),
		synthesised("trombone", 57, 50), synthesised("tuba", 58, 41), synthesised("horn", 60, 58)}
	if which == "tried" {
		players = []player{recorded(dir, "A3"), recorded(dir, "F4"), recorded(dir, "D5"), recorded(dir, "C3"),
			synthesised("synthesised trumpet", 56, 65), synthesised("horn", 60, 50), synthesised("trombone", 57, 57)}
	}
	type figure struct {
		name    string
		perBeat int
		tempi   []float64
	}
	figures := []figure{{"sixteenths", 4, []float64{60, 92, 120, 144, 180}}, {"triplets", 3, []float64{60, 104, 152, 200}}, {"eighths", 2, []float64{60, 112, 160, 200}}}
	rng := rand.New(rand.NewPCG(2026, 11))
	var lines []string
	for _, c := range conditions() {
		t.Run(c.name, func(t *testing.T) {
			sums := map[string]*tally{"recorded": {}, "synthesised": {}}
			job := 0
			for _, p := range players {
				for _, f := range figures {
					for _, bpm := range f.tempi {
						for _, broken := range []bool{false, true} {
							if job++; job%stride == 0 {
								sums[p.kind].add(t, p, c, f.perBeat, bpm, seconds, broken, rng)
							}
						}
					}
				}
			}
			runs, silent, wrong := 0, 0, 0
			for _, kind := range []string{"recorded", "synthesised"} {
				sum := sums[kind]
				lines = append(lines, sum.line(c.name+", "+kind))
				for _, w := range sum.wrong {
					t.Log(w)
				}
				runs, silent, wrong = runs+sum.runs, silent+sum.silent, wrong+len(sum.wrong)
			}
			if wrong*mostWrong > runs-silent {
				t.Errorf("%d of %d answers are wrong", wrong, runs-silent)
			}
			if silent*mostSilent > runs {
				t.Errorf("no answer to %d of %d", silent, runs)
			}
		})
	}
	t.Logf("\n%-40s %4s %9s %20s %20s %6s %6s %6s %8s %6s %6s %6s\n%s", "", "runs", "no answer", "count error mean/max", "tempo error mean/max", "F50", "F25", "F10*", "spread", "held-", "brkn-", "held?",
		strings.Join(lines, "\n"))
}

// add plays one test, with a note left out in the middle if broken.
func (s *tally) add(t *testing.T, p player, c condition, perBeat int, bpm, seconds float64, broken bool, rng *rand.Rand) {
	perSecond := bpm * float64(perBeat) / 60
	hand := soundtest.Hand{PerSecond: perSecond, Start: talkBefore + 0.8, Seconds: seconds, Jitter: min(0.010, 0.05/perSecond),
		Wander: 0.01, Group: perBeat, Accent: 2.5, Uneven: 1}
	if broken {
		hand.Missing = []int{int(seconds * perSecond * (0.3 + 0.4*rng.Float64()))}
	}
	notes := hand.Notes(rng)
	x, rate := p.play(t, notes)
	x, rate = c.do(t, x, rate, rng)
	m := sound.Measure(x, rate, sound.Ask{PerBeat: perBeat, Beat: routine.Quarter, Seconds: seconds})
	s.runs++
	if m.CouldNotTell != "" {
		s.silent++
		t.Logf("%s, %g notes a second, broken %v: %s", p.name, perSecond, broken, m.CouldNotTell)
		return
	}
	played := soundtest.Times(notes)
	count := float64(m.Onsets)/float64(len(notes)) - 1
	tempo := m.BPM/truePace(played)*float64(perBeat)/60 - 1
	s.counts, s.tempi = append(s.counts, math.Abs(count)), append(s.tempi, math.Abs(tempo))
	what := fmt.Sprintf("%s, %g notes a second, broken %v", p.name, perSecond, broken)
	if off := math.Abs(float64(m.Onsets - len(notes))); off > max(1, 0.01*float64(len(notes))) || math.Abs(tempo) > max(0.01, 0.5/float64(len(notes))) {
		s.wrong = append(s.wrong, fmt.Sprintf("%s: count off by %+.1f %%, tempo by %+.1f %%, sure %.2f", what, 100*count, 100*tempo, m.Confidence))
	}
	switch {
	case m.Held == sound.Unsure:
		s.unsure++
	case broken && m.Held == sound.Yes:
		s.falseHeld++
		s.wrong = append(s.wrong, fmt.Sprintf("%s: held, though a note was missing; sure %.2f", what, m.Confidence))
	case !broken && m.Held == sound.No:
		s.falseBroken++
		s.wrong = append(s.wrong, fmt.Sprintf("%s: not held (longest %.1f s, breaks %v), though nothing was missing; sure %.2f", what, m.LongestUnbroken, m.Breaks, m.Confidence))
	}
	s.f50 = append(s.f50, soundtest.Match(played, m.Times, 0.050).F())
	s.f25 = append(s.f25, soundtest.Match(played, m.Times, 0.025).F())
	bias := soundtest.Bias(played, m.Times)
	moved := slices.Clone(m.Times)
	for i := range moved {
		moved[i] -= bias
	}
	s.f10 = append(s.f10, soundtest.Match(played, moved, 0.010).F())
	s.spread = append(s.spread, m.Evenness-1000*hand.Jitter*math.Sqrt2)
}

// truePace returns the notes a second of what was played, a missing note aside.
func truePace(played []float64) float64 {
	var steps []float64
	for i := 1; i < len(played); i++ {
		steps = append(steps, played[i]-played[i-1])
	}
	usual := slices.Clone(steps)
	slices.Sort(usual)
	n, sum := 0.0, 0.0
	for _, s := range steps {
		if s < 1.5*usual[len(usual)/2] {
			n, sum = n+1, sum+s
		}
	}
	return n / sum
}

func (s *tally) line(name string) string {
	mean := func(x []float64) float64 {
		sum := 0.0
		for _, v := range x {
			sum += v
		}
		return sum / float64(max(1, len(x)))
	}
	worst := func(x []float64) float64 { return slices.Max(append(x, 0)) }
	return fmt.Sprintf("%-40s %4d %9d %9.2f %% / %5.2f %% %9.2f %% / %5.2f %% %6.3f %6.3f %6.3f %+5.1f ms %6d %6d %6d", name, s.runs, s.silent,
		100*mean(s.counts), 100*worst(s.counts), 100*mean(s.tempi), 100*worst(s.tempi), mean(s.f50), mean(s.f25), mean(s.f10), mean(s.spread), s.falseHeld, s.falseBroken, s.unsure)
}
