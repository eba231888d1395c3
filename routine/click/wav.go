package click

import (
	"encoding/binary"
	"math"
)

// The sound of the file: 8 bits suffice for a click, and keep a minute under a
// megabyte.
const (
	wavRate     = 16000
	beatHertz   = 1000.0
	accentHertz = 1600.0
	blip        = 0.05  // seconds
	dies        = 0.012 // seconds in which it falls to a third
)

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
	hertz, loud := beatHertz, 70.0
	if beat.Accent {
		hertz, loud = accentHertz, 110.0
	}
	start := int(math.Round(beat.At * wavRate))
	for i := range int(blip * wavRate) {
		if start+i >= len(samples) {
			return
		}
		t := float64(i) / wavRate
		samples[start+i] = byte(128 + math.Round(loud*math.Exp(-t/dies)*math.Sin(2*math.Pi*hertz*t)))
	}
}
