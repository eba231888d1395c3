package discord_test

import (
	"fmt"
	"testing"
	"time"

	"ledgerline/adapters/discord/discordtest"
	"ledgerline/studio"
)

// newBench sets the stage without the document: holding exchanges against it
// takes longer than they do.
func newBench(b *testing.B) *stage {
	s := newStage(b)
	s.discord.Watch(nil)
	s.discord.Limit("", "", 1<<30, time.Second)
	return s
}

// BenchmarkSend sends cards to 25 private lines in turn, one after the other, as
// the sender does.
func BenchmarkSend(b *testing.B) {
	s := newBench(b)
	var to []studio.Address
	for n := range 25 {
		to = append(to, s.to(s.discord.AddUser(fmt.Sprint("student ", n))))
	}
	d := s.routine()
	began := time.Now()
	for n := 0; b.Loop(); n++ {
		d.Key, d.To = studio.Key(fmt.Sprint("bench/", n)), to[n%len(to)]
		if _, err := s.bot.Send(b.Context(), d); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/time.Since(began).Seconds(), "posts/s")
}

// BenchmarkReceive is how many messages a second arrive in the inbox.
func BenchmarkReceive(b *testing.B) {
	s := newBench(b).run()
	began := time.Now()
	for n := 0; b.Loop(); n++ {
		s.discord.Say(s.line, s.pupil, "1 96 clean")
		if n%100 == 99 {
			s.until("they are stored", func() bool { return s.office.count() >= n-500 })
		}
	}
	s.until("all are stored", func() bool { return s.office.count() == b.N })
	b.ReportMetric(float64(b.N)/time.Since(began).Seconds(), "messages/s")
}

// BenchmarkReceipt is the time from a person's message to the receipt on her
// line, without the studio's reading it.
func BenchmarkReceipt(b *testing.B) {
	s := newBench(b).run()
	for n := 0; b.Loop(); n++ {
		id := s.discord.Say(s.line, s.pupil, "1 96 clean")
		<-s.office.arrived
		d := s.plain(studio.Key(fmt.Sprint("receipt/", n)), "Logged: 1 clean at quarter=96.")
		d.ReplyTo = id
		if _, err := s.bot.Send(b.Context(), d); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkReconnect is the time from the loss of the connection until a message
// said meanwhile is stored: by resuming, and by a new session and its history.
// The library rests a second whenever a connection ends.
func BenchmarkReconnect(b *testing.B) {
	for name, lose := range map[string]func(*discordtest.Server){
		"resume":  (*discordtest.Server).Reconnect,
		"history": (*discordtest.Server).Sever,
	} {
		b.Run(name, func(b *testing.B) {
			s := newBench(b).run()
			for b.Loop() {
				lose(s.discord)
				before := s.office.count()
				s.discord.Say(s.line, s.pupil, "while away")
				s.until("it is stored", func() bool { return s.office.count() > before })
				if !s.discord.Await(1, 10*time.Second) {
					b.Fatal("not connected")
				}
			}
		})
	}
}
