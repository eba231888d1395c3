package trial

import (
	"runtime"
	"sync"
)

// A Trial is what is to be tried, on whom and for how long.
type Trial struct {
	Scenarios []Scenario // students take them in turn
	Students  int
	Days      int
	Seed      uint64
	Model     Model
	Passes    bool // the teacher opens the next pass of a study when its share has passed
	Keep      bool // keep the logs of the lives
}

// A Result holds the lives of a trial, by policy. The nth life of each policy is
// of the same student.
type Result struct {
	Trial Trial
	Lives map[string][]Life
}

// Run lets every student live once under the builder and once under each of the
// other policies.
func (t Trial) Run(others ...Policy) Result {
	res := Result{t, map[string][]Life{}}
	policies := append([]Policy{Builder()}, others...)
	for _, p := range policies {
		res.Lives[p.Name] = make([]Life, t.Students)
	}
	var wg sync.WaitGroup
	students := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for n := range students {
				t.liveAll(n, policies, res)
			}
		})
	}
	for n := range t.Students {
		students <- n
	}
	close(students)
	wg.Wait()
	return res
}

// liveAll lets the nth student live under each policy, the builder first.
func (t *Trial) liveAll(n int, policies []Policy, res Result) {
	s := &t.Scenarios[n%len(t.Scenarios)]
	seed := t.Seed<<32 + uint64(n)
	var first *Life
	for _, p := range policies {
		before := first
		if p.Full {
			before = nil
		}
		life := &res.Lives[p.Name][n]
		*life = t.live(s, seed, p, before)
		if first == nil {
			first = life
		}
	}
}
