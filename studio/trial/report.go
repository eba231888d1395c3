package trial

import (
	"fmt"
	"io"
	"slices"
	"strings"
)

// Report runs the trial under its own model with all policies and then under each
// variant with the policies that the trial is about, and writes the ratios.
func (t Trial) Report(w io.Writer, variants []Variant, others []Policy) Result {
	base := t.Run(others...)
	fmt.Fprintf(w, "%d students on %d plans, %d days each; builder over other, with 95 %% interval\n", t.Students, len(t.Scenarios), t.Days)
	base.writeDays(w, others)
	base.writeUses(w, append([]Policy{Builder()}, others...))
	for _, m := range Measures(t.Days) {
		better := "more is better"
		if m.Less {
			better = "less is better"
		}
		fmt.Fprintf(w, "\n%s (%s)\n", m.Name, better)
		for _, p := range others {
			fmt.Fprintf(w, "  %-20s %s\n", p.Name, base.Ratio(m, Builder().Name, p.Name))
		}
	}
	if len(variants) > 0 {
		t.sensitivity(w, variants)
	}
	return base
}

// writeDays writes what the days under each policy were like.
func (r Result) writeDays(w io.Writer, others []Policy) {
	fmt.Fprintf(w, "\n%-20s %8s %8s %7s %9s %7s %7s\n", "means of a life", "minutes", "playing", "items", "strenuous", "beside", "third")
	for _, p := range append([]Policy{Builder()}, others...) {
		var sums [6]int
		lives := r.Lives[p.Name]
		for i := range lives {
			l := &lives[i]
			for k, v := range [...]int{l.Minutes, l.Playing, l.Items, l.Hard, l.Beside, l.Third} {
				sums[k] += v
			}
		}
		n := float64(len(lives))
		fmt.Fprintf(w, "%-20s %8.0f %8.0f %7.0f %9.1f %7.1f %7.1f\n", p.Name, float64(sums[0])/n, float64(sums[1])/n,
			float64(sums[2])/n, float64(sums[3])/n, float64(sums[4])/n, float64(sums[5])/n)
	}
	fmt.Fprintln(w, "(beside: strenuous items next after another; third: strenuous days after two others)")
}

// sensitivity writes how the leading measures fare when the model is changed.
func (t Trial) sensitivity(w io.Writer, variants []Variant) {
	others := Others()[:4]
	measures := Measures(t.Days)
	measures = []Measure{measures[0], measures[2], measures[4]}
	fmt.Fprintf(w, "\nwith other models: %s; %s; %s\n", measures[0].Name, measures[1].Name, measures[2].Name)
	for _, v := range variants {
		t.Model = v.Model
		r := t.Run(others...)
		fmt.Fprintf(w, "%s\n", v.Name)
		for _, p := range others {
			var cells []string
			for _, m := range measures {
				cells = append(cells, r.Ratio(m, Builder().Name, p.Name).String())
			}
			fmt.Fprintf(w, "  %-20s %s\n", p.Name, strings.Join(cells, "   "))
		}
	}
}

// String returns the ratio as "1.07 (0.99 to 1.15), 35.5 over 33.2".
func (q Ratio) String() string {
	return fmt.Sprintf("%.2f (%.2f to %.2f), %.1f over %.1f", q.Value, q.Low, q.High, q.A, q.B)
}

// Write writes what became of the forecasts.
func (c Calibration) Write(w io.Writer) {
	fmt.Fprintf(w, "forecasts: asked %d times; %d ranges, of %d lines\n", c.Asked, c.Held.Of, c.Lines)
	fmt.Fprintf(w, "  the 80 %% range held the date in %s; it came before in %d, after or never in %d\n", c.Held, c.Early, c.Late)
	var none []string
	for why, n := range c.None {
		none = append(none, fmt.Sprintf("%s %d", why, n))
	}
	slices.Sort(none)
	fmt.Fprintf(w, "  no forecast: %s\n", strings.Join(none, ", "))
	fmt.Fprintf(w, "  told it is too far off to say: clean at the goal within a year %s\n", c.Far)
}

// Write writes how standing still was found.
func (f Finding) Write(w io.Writer) {
	fmt.Fprintf(w, "called stuck though moving: %s of weekly looks at lines with a gain of two marks or more in three weeks; %s of lines that always gained as much\n", f.Moving, f.MovingLines)
	fmt.Fprintf(w, "stood still: found within 21 days %s, within 42 %s; of those played on 7 days or more of the 21, found within them %s\n", f.Found, f.Later, f.Often)
}

// String returns the share as "78.1 % of 1200 (76.0 to 80.2)".
func (s Share) String() string {
	if s.Of == 0 {
		return "none asked"
	}
	return fmt.Sprintf("%.1f %% of %d (%.1f to %.1f)", 100*s.Value(), s.Of, 100*s.Low, 100*s.High)
}
