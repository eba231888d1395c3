package audio

import (
	"errors"
	"fmt"
	"math"
	"time"

	"ledgerline/studio"
)

// A Sound is decoded audio, its channels averaged into one.
type Sound struct {
	Samples []float32 // 1 is full scale
	Rate    int       // samples a second
}

// Length returns how long the sound is.
func (s *Sound) Length() time.Duration {
	return time.Duration(float64(len(s.Samples)) / float64(s.Rate) * float64(time.Second))
}

// Limits bound what is decoded at all.
type Limits struct {
	Bytes  int           // size of the file
	Length time.Duration // length of the sound
}

// Usual are the limits of a chat: a minute test with talk around it is under two
// minutes, and 25 MB hold those as uncompressed stereo.
var Usual = Limits{Bytes: 25 << 20, Length: 5 * time.Minute}

// The rates that sound may have, in samples a second: from the telephone to the
// studio.
const (
	lowestRate   = 8000
	highestRate  = 192000
	mostChannels = 8
)

// An Unfit is a file that can't be heard, for a reason that its sender can do
// something about. Its text is one sentence for her.
type Unfit struct {
	Why    studio.Unfit
	reason string
}

func (u *Unfit) Error() string { return u.reason }

// IsUnfit reports whether err says that the file, not the program, is at fault.
func IsUnfit(err error) bool {
	var u *Unfit
	return errors.As(err, &u)
}

func damaged(reason string) error {
	return &Unfit{studio.Damaged, reason + "; it may be damaged: send it again"}
}

func unfit(why studio.Unfit, format string, args ...any) error {
	return &Unfit{why, fmt.Sprintf(format, args...)}
}

// A mixer collects interleaved samples and averages the channels, up to a limit.
type mixer struct {
	rate     int
	channels int
	most     int // samples of the mix
	limit    time.Duration

	mix  []float32
	sum  float32
	have int // channels in sum
}

func newMixer(rate, channels int, lim Limits) (*mixer, error) {
	if rate < lowestRate || rate > highestRate {
		return nil, unfit(studio.NotSound, "the sound has %d samples a second; it can be heard with %d to %d", rate, lowestRate, highestRate)
	}
	if channels < 1 || channels > mostChannels {
		return nil, unfit(studio.NotSound, "the sound has %d channels; it can be heard with 1 to %d", channels, mostChannels)
	}
	return &mixer{rate: rate, channels: channels, limit: lim.Length, most: int(lim.Length.Seconds() * float64(rate))}, nil
}

// expect refuses a sound of so many samples a channel before it is decoded.
func (m *mixer) expect(samples int) error {
	if samples > m.most {
		return m.tooLong()
	}
	m.mix = make([]float32, 0, samples)
	return nil
}

func (m *mixer) tooLong() error {
	return unfit(studio.TooLong, "the sound is longer than %d minutes; send the minute test alone", int(m.limit.Minutes()))
}

func (m *mixer) add(v float32) error {
	if v != v || math.IsInf(float64(v), 0) {
		v = 0
	}
	m.sum += v
	if m.have++; m.have < m.channels {
		return nil
	}
	if len(m.mix) >= m.most {
		return m.tooLong()
	}
	m.mix = append(m.mix, m.sum/float32(m.channels))
	m.sum, m.have = 0, 0
	return nil
}

func (m *mixer) sound() *Sound { return &Sound{Samples: m.mix, Rate: m.rate} }
