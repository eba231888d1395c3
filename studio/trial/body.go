package trial

import "math"

// A body is how tired the lip is: from the day's playing, and from the days
// before.
type body struct {
	scale    float64 // of Model.Fatigue
	capacity float64 // strenuous minutes a day that leave nothing over
	lip      float64 // strain of today, in strenuous minutes not yet rested off
	sore     float64 // strain of days, in capacities
	today    float64 // strenuous minutes of today
	warm     float64 // playing minutes of today
}

// Strain by the minute of playing, and the minutes of rest that leave 1/e of it.
const (
	softStrain = 0.2
	hardStrain = 1.0
	restTime   = 12.0
)

// factor returns what is left of a tempo: strain tells on strenuous lines most,
// and the first minutes of a day are cold.
func (b *body) factor(hard bool) float64 {
	share := 0.3
	if hard {
		share = 1
	}
	cold := 0.04 * share * math.Exp(-b.warm/4)
	return 1 - b.scale*(share*(0.015*b.lip+0.02*b.sore)+cold)
}

// teaches returns what is left of what a playing teaches.
func (b *body) teaches(hard bool) float64 {
	if !hard {
		return 1
	}
	return math.Exp(-b.scale * (0.06*b.lip + 0.1*b.sore))
}

// play strains the lip for some minutes and rests it after.
func (b *body) play(minutes, rest int, hard bool) {
	strain := softStrain
	if hard {
		strain = hardStrain
		b.today += float64(minutes)
	}
	b.lip = (b.lip + strain*float64(minutes)) * math.Exp(-float64(rest)/restTime)
	b.warm += float64(minutes)
}

// sleep ends a day.
func (b *body) sleep() {
	b.sore = 0.5*b.sore + max(0, b.today/b.capacity-1)
	b.lip, b.today, b.warm = 0, 0, 0
}
