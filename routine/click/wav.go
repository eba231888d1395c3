package click

import (
	"encoding/binary"
	"math"
)

// The sound of the file: 8 bits suffice for a click, and keep a minute under a
// megabyte.
const (
	wavRate = 16000
	blip    = 0.05  // seconds
	dies    = 0.012 // seconds in which it falls to a third
)

// The pitch in Hz and the loudness of each stress, of 127.
var strokes = [...]struct{ hertz, loud float64 }{
	Between: {800, 28}, Plain: {1000, 70}, First: {1600, 110}, NewMark: {2100, 120},
}

// WAV returns the click as a WAV file.
func (c *Click) WAV() []byte {
	n := int(math.Ceil(c.Length() * wavRate))
	le := binary.LittleEndian
	b := append([]byte("RIFF"), le.AppendUint32(nil, uint32(36+n))...)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 1) // PCM
	b = le.AppendUint16(b, 1) // channel
	b = le.AppendUint32(b, wavRate)
	b = le.AppendUint32(b, wavRate)
	b = le.AppendUint16(b, 1)
	b = le.AppendUint16(b, 8)
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(n))
	from := len(b)
	for range n {
		b = append(b, 128)
	}
	if n%2 == 1 {
		b = append(b, 0)
		le.PutUint32(b[4:], uint32(37+n))
	}
	for _, beat := range c.Beats() {
		strike(b[from:from+n], beat)
	}
	return b
}

// strike adds one beat to silence.
func strike(samples []byte, beat Beat) {
	s := strokes[beat.Stress]
	start := int(math.Round(beat.At * wavRate))
	for i := range int(blip * wavRate) {
		if start+i >= len(samples) {
			return
		}
		t := float64(i) / wavRate
		samples[start+i] = byte(128 + math.Round(s.loud*math.Exp(-t/dies)*math.Sin(2*math.Pi*s.hertz*t)))
	}
}
