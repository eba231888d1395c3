package sound

// A Pace is the tempo about a moment.
type Pace struct {
	At  float64 // seconds after the first note
	BPM float64
}

// Course returns the tempo along the way, for a number of notes a beat: about
// each second note, over the eight steps around it. Breaks are left out.
func (m *Measurement) Course(perBeat int) []Pace {
	steps := gaps(m.Times)
	usual := around(steps)
	var course []Pace
	for i := 0; i < len(steps); i += 2 {
		n, sum := 0.0, 0.0
		for k := max(0, i-reach); k < min(len(steps), i+reach); k++ {
			if steps[k] <= breakAt*usual[k] {
				n, sum = n+1, sum+steps[k]
			}
		}
		if n > 0 {
			course = append(course, Pace{At: m.Times[i] - m.Times[0], BPM: n / sum * 60 / float64(perBeat)})
		}
	}
	return course
}
