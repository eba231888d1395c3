package soundtest

import (
	"math"
	"math/rand/v2"
)

// A Note is one note as it was played.
type Note struct {
	At     float64 // seconds from the start of the recording
	Length float64 // seconds until it is let go
	Level  float64 // dB against the usual loudness
}

// A Hand is a way of playing repeated notes.
type Hand struct {
	PerSecond float64 // notes a second
	Start     float64 // seconds before the first note
	Seconds   float64 // from the first note to the end of the last
	Jitter    float64 // spread of each note around its place, seconds (standard deviation)
	Wander    float64 // how far the tempo sways slowly, as a share of it
	Drift     float64 // by how much the tempo has changed at the end, as a share of it
	Group     int     // the first of so many notes is accented; 0 for no accents
	Accent    float64 // dB of the accent
	Uneven    float64 // spread of the loudness, dB
	Gate      float64 // share of each note that sounds; 0 for three quarters
	Missing   []int   // notes that are left out, counted from 0
}

// Notes returns what such a hand plays.
func (h Hand) Notes(rng *rand.Rand) []Note {
	gate := h.Gate
	if gate == 0 {
		gate = 0.75
	}
	missing := map[int]bool{}
	for _, i := range h.Missing {
		missing[i] = true
	}
	var notes []Note
	sway := rng.Float64() * 2 * math.Pi
	at := h.Start
	for i := 0; ; i++ {
		done := (at - h.Start) / h.Seconds
		if done >= 1-1e-9 {
			return notes
		}
		speed := h.PerSecond * (1 + h.Drift*done + h.Wander*math.Sin(sway+2*math.Pi*(at-h.Start)/17))
		gap := 1 / speed
		n := Note{At: at + clamp(rng.NormFloat64(), 2.5)*h.Jitter, Length: gate * gap, Level: rng.NormFloat64() * h.Uneven}
		if h.Group > 0 && i%h.Group == 0 {
			n.Level += h.Accent
		}
		n.At = max(n.At, 0)
		if !missing[i] {
			notes = append(notes, n)
		}
		at += gap
	}
}

func clamp(x, limit float64) float64 { return max(-limit, min(limit, x)) }
