package click

import (
	"encoding/binary"
	"math"
	"math/bits"

	"ledgerline/routine"
)

// Of the Standard MIDI File (RP-001, MIDI Manufacturers Association, 1.0).
const (
	ticks       = 480  // in a quarter
	percussion  = 0x99 // note on, channel 10 (General MIDI)
	percussOff  = 0x89
	clockTicks  = 24 // MIDI clocks in a quarter
	quarterIs32 = 8  // thirty-seconds in a quarter
)

// The key of General MIDI's percussion and the velocity of each stress: wood
// blocks, low and high, and the claves where a mark begins.
var keys = [...]struct{ key, loud byte }{Between: {77, 32}, Plain: {77, 80}, First: {76, 120}, NewMark: {75, 127}}

// MIDI returns the click as a MIDI file of one track: tempo in microseconds a
// quarter and a marker where it changes, the time signature, and wood blocks.
func (c *Click) MIDI() []byte {
	step := ticks * int(c.From.Note) / int(routine.Quarter) / max(1, c.Divide)
	track := delta(nil, 0)
	track = append(track, 0xFF, 0x58, 4)
	track = append(track, c.signature()...)
	var now routine.Tempo
	wait := 0
	for _, b := range c.Beats() {
		if b.Tempo != now {
			now = b.Tempo
			track = append(delta(track, wait), 0xFF, 0x51, 3)
			micros := uint32(math.Round(60e6 / now.In(routine.Quarter).BPM))
			track = append(track, byte(micros>>16), byte(micros>>8), byte(micros))
			mark := now.String()
			track = append(append(delta(track, 0), 0xFF, 0x06, byte(len(mark))), mark...)
			wait = 0
		}
		k := keys[b.Stress]
		track = append(delta(track, wait), percussion, k.key, k.loud)
		track = append(delta(track, step/4), percussOff, k.key, 64)
		wait = step - step/4
	}
	track = append(delta(track, wait), 0xFF, 0x2F, 0)
	be := binary.BigEndian
	file := append([]byte("MThd"), be.AppendUint32(nil, 6)...)
	file = be.AppendUint16(file, 0) // format: one track
	file = be.AppendUint16(file, 1)
	file = be.AppendUint16(file, ticks)
	file = append(file, "MTrk"...)
	file = be.AppendUint32(file, uint32(len(track)))
	return append(file, track...)
}

// signature returns the four bytes of the time signature: beats above, the note
// below as a power of two; a dotted beat counts as three of the next smaller.
func (c *Click) signature() []byte {
	above, below := c.Meter, c.From.Note // in sixteenths
	if below%3 == 0 {
		above, below = 3*above, below/3
	}
	power := bits.TrailingZeros(uint(16 / below))
	return []byte{byte(above), byte(power), byte(clockTicks * int(c.From.Note) / int(routine.Quarter)), quarterIs32}
}

// delta appends a time as a variable-length quantity.
func delta(b []byte, t int) []byte {
	for shift := 21; shift > 0; shift -= 7 {
		if t>>shift > 0 {
			b = append(b, byte(t>>shift)&0x7F|0x80)
		}
	}
	return append(b, byte(t)&0x7F)
}
