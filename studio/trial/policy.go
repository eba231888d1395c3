package trial

import "ledgerline/routine"

// A Policy decides what is practised: in which order lines come, at which tempo,
// and in whose minutes.
type Policy struct {
	Name  string
	Order Order
	Tempo Tempo

	// Full lets the student have her whole budget each day; otherwise she has the
	// minutes that the builder's routine had on the same date.
	Full bool

	// Framed has every day begin with a warm-up and end with a warm-down, if the
	// plan has them, passed or not, as the builder's days do.
	Framed bool

	// Reviewed has passed lines come back when their review is due, as the
	// builder's do, after the warm-up.
	Reviewed bool

	// Short makes items as short as their lines deserve, where the builder, on a
	// day of more than an hour, makes them longer rather than more numerous.
	Short bool
}

// An Order is how the lines of a day are chosen and put in order.
type Order string

// The orders.
const (
	// Built is the routine of the day as the builder makes it.
	Built Order = "built"

	// Plain goes through the plan's studies in the order of the books, line after
	// line and round again, from where the last day stopped. Lines that have
	// passed are left out.
	Plain Order = "plain"

	// Random draws from the same lines, none twice a day.
	Random Order = "random"
)

// Builder is the policy that the others are compared with.
func Builder() Policy { return Policy{Name: "builder", Order: Built, Tempo: Ladder, Full: true} }

// Others returns the policies the builder is compared with, those first that the
// trial is about. The rest show what the difference is made of.
func Others() []Policy {
	return []Policy{
		{Name: "plain", Order: Plain, Tempo: Ladder},
		{Name: "random", Order: Random, Tempo: Ladder},
		{Name: "plain, warmed up", Order: Plain, Tempo: Ladder, Framed: true},
		{Name: "plain, same duties", Order: Plain, Tempo: Ladder, Framed: true, Reviewed: true},
		{Name: "random, warmed up", Order: Random, Tempo: Ladder, Framed: true},
		{Name: "plain, whole budget", Order: Plain, Tempo: Ladder, Full: true},
		{Name: "plain, short items", Order: Plain, Tempo: Ladder, Short: true},
		{Name: "plain, by feel", Order: Plain, Tempo: Feel},
		{Name: "plain, at the goal", Order: Plain, Tempo: AtGoal},
		{Name: "random, by feel", Order: Random, Tempo: Feel},
	}
}

// policy is a policy at work for one student.
type policy interface {
	// set returns the routine of a date, of about so many minutes.
	set(in routine.Input, minutes int) routine.Routine
	// stopped says how many items of it were played.
	stopped(played int)
}

// start returns the policy at work for one student.
func (p Policy) start(s *Scenario, seed uint64) policy {
	if p.Order == Built {
		return built{}
	}
	return &sheets{Policy: p, scenario: s, seed: seed}
}

// built is the day builder.
type built struct{}

func (built) set(in routine.Input, _ int) routine.Routine { return routine.Build(in) }
func (built) stopped(int)                                 {}
