package reply_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// BenchmarkCorpus reads every reply of the corpus in turn and reports the median
// and the slowest reply, the allocations of a reply, and how well the corpus was
// read.
func BenchmarkCorpus(b *testing.B) {
	r := newReader(b)
	samples := corpus(b)
	routines := map[string]*routine.Routine{}
	contexts := make([]reply.Context, len(samples))
	for i, s := range samples {
		contexts[i] = s.context(b, routines)
		r.Read(s.Text, contexts[i])
	}
	best := make([]time.Duration, len(samples))
	b.ReportAllocs()
	b.ResetTimer()
	rounds := 0
	for n := 0; b.Loop(); n++ {
		i := n % len(samples)
		start := time.Now()
		r.Read(samples[i].Text, contexts[i])
		if took := time.Since(start); best[i] == 0 || took < best[i] {
			best[i] = took
		}
		rounds = n / len(samples)
	}
	b.StopTimer()
	if rounds == 0 {
		return
	}
	slices.Sort(best)
	sc := grade(b, r, nil)
	b.ReportMetric(float64(best[len(best)/2]), "median-ns")
	b.ReportMetric(float64(best[len(best)-1]), "worst-ns")
	b.ReportMetric(100*sc.exactShare(), "%exact")
	b.ReportMetric(100*sc.silentShare(), "%silently-wrong")
}

// BenchmarkLength reads ever longer messages of each kind; the time for a byte
// must stay what it is.
func BenchmarkLength(b *testing.B) {
	r := newReader(b)
	routines := map[string]*routine.Routine{}
	c := sample{Routine: "fullday", Lang: "en", Today: routine.NewDate(2026, 3, 4)}.context(b, routines)
	for _, text := range longTexts {
		for _, head := range []string{"", "2 clean ", "my lip hurts 2 "} {
			for _, length := range []int{100, 1000, 10_000, 100_000} {
				long := (head + strings.Repeat(text, length/len(text)+1))[:length]
				b.Run(fmt.Sprintf("%s%.8q/%d", head, text, length), func(b *testing.B) {
					b.ReportAllocs()
					for b.Loop() {
						r.Read(long, c)
					}
					b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(length), "ns/byte")
				})
			}
		}
	}
}

// longTexts are repeated to make long messages of different kinds.
var longTexts = []string{
	"1 96 clean, 2 skip, ", "wonderful noises ", "the ", "1:10 ", "x", "⟦", "3 ", "yesterday 40 min ", "clean ", "all but ", "yesterday ", "yesterday today ",
	"zzzzqqq ", "?", "1/2 ", "line 14 and ", "slurs ", "no pain but ", "q=96 ", "will ", "only ", "not ", "in the ", "40 min ", "rest ", "i ", "the the ", "🌟", "nearly ", "1, 2, 3, ", "daily ", "bar ", "20+", "3 half of 4 ",
}
