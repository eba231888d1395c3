package reply_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// monday is a routine of four items, written as a script writes it.
const monday = `{"items":[
{"n":1,"book":"Daily Ground","study":1,"title":"First Breath","lines":[1,2],"skill":"warm-up","key":"C","from":66,"to":72,"minutes":8},
{"n":2,"book":"Slur Atlas","study":3,"title":"Two Steps Up","lines":[7],"skill":"flexibility","key":"F","note":"quarter","from":88,"to":96,"minutes":10},
{"n":3,"book":"Daily Ground","study":2,"title":"Scales by Thirds","lines":[14,15,16],"skill":"technique","key":"Eb","note":"quarter","from":84,"to":92,"minutes":12},
{"n":4,"book":"Twelve Harbour Pieces","study":5,"title":"Gulls at the Lock","lines":[1],"skill":"etude","key":"G minor","note":"quarter","from":76,"to":84,"minutes":15}]}`

func decode(tb testing.TB, text string) *routine.Routine {
	tb.Helper()
	r, err := reply.DecodeRoutine(strings.NewReader(text))
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

func ExampleReader_Read() {
	reader, err := reply.NewReader()
	if err != nil {
		fmt.Println(err)
		return
	}
	set, err := reply.DecodeRoutine(strings.NewReader(monday))
	if err != nil {
		fmt.Println(err)
		return
	}
	c := reply.Context{Routine: set, Today: routine.NewDate(2026, 3, 4), Lang: "en"}
	for _, r := range reader.Read("1 70 clean, 2 skip, rest done 40m", c) {
		fmt.Println(r.Canonical())
	}
	for _, r := range reader.Read("60", c) {
		fmt.Println(r.Ask[0].About, r.Ask[0].Choices[0].Label, "or", r.Ask[0].Choices[1].Label)
	}
	// Output:
	// 2026-03-04: total 40 min; item 1 clean quarter=70; item 2 skipped; item 3 done; item 4 done
	// minutes 60 min or item 1 done quarter=60
}

func ExampleReader_Explain() {
	reader, _ := reply.NewReader()
	set, _ := reply.DecodeRoutine(strings.NewReader(monday))
	c := reply.Context{Routine: set, Today: routine.NewDate(2026, 3, 4), Lang: "en"}
	for _, w := range reader.Explain("2 shakey, bar 3 late", c) {
		fmt.Printf("%s: %s\n", w.Text, w.As)
	}
	// Output:
	// 2: item
	// shakey: outcome (misspelled)
	// ,: comma
	// bar 3: remark
	// late: remark
}

// TestReadings reads what the corpus has little of, as canonical texts. Asks are
// shown by what they are about.
func TestReadings(t *testing.T) {
	r := newReader(t)
	c := reply.Context{Routine: decode(t, monday), Today: today, Lang: "en"}
	for _, test := range []struct{ text, want string }{
		{"76 on breath and 84 on steps", "item 1 done quarter=76; item 2 done quarter=84"},
		{"72 breath, 90 steps, 88 scales", "item 1 done quarter=72; item 2 done quarter=90; item 3 done quarter=88"},
		{"66 on 1, the 72 was a typo", "item 1 done quarter=66"},
		{"3 wasn't clean but shaky", "item 3 shaky"},
		{"1 8 min, no, 10 min", "item 1 done for 10 min"},
		{"3 at 88, the top notes were shaky", "item 3 done quarter=88 ⟦the top notes were shaky⟧"},
		{"3 clean, bars 9-12 fall apart", "item 3 clean ⟦bars 9-12 fall apart⟧"},
		{"1 and 2, both done. 3 skipped", "item 1 done; item 2 done; item 3 skipped"},
		{"1 at 70. 2 at 90. Both went fine.", "item 1 clean quarter=70; item 2 clean quarter=90"},
		{"done today: 2, 3", "item 2 done; item 3 done"},
		{"1: twice. 2: no. 3: clean", "item 1 done 2x; item 2 skipped; item 3 clean"},
		{"finally clean, the gulls at 78!", "item 4 clean quarter=78"},
		{"got to 2 and stopped", "partly; item 1 done; item 2 done; item 3 skipped; item 4 skipped"},
		{"did 1 and 2 and I will do the rest tonight", "item 1 done; item 2 done"},
		{"2 at 88 six times, all six clean", "item 2 clean quarter=88 6x"},
		{"number one to number three done", "item 1 done; item 2 done; item 3 done"},
		{"one at seventy comma two at ninety full stop three shaky", "item 1 done quarter=70; item 2 done quarter=90; item 3 shaky"},
		{"bolero 90 clean, 3 at 88 clean", "item 3 clean quarter=88; unclear ⟦item ?⟧"},
		{"1 to 3 before the school run", "item 1 done; item 2 done; item 3 done"},
		{"1 and 2 clean, rest tonight", "item 1 clean; item 2 clean"},
		{"1 clean and the rest this evening", "item 1 clean"},
		{"1 this morning, rest tonight", "item 1 done; item 2 done; item 3 done; item 4 done"},
		{"1 clean, rest tonight was fine", "item 1 clean; item 2 clean; item 3 clean; item 4 clean"},
		{"lesson in 2 hours, 1 clean", "lesson; item 1 clean"},
		{"school in 10 min, 1 clean", "item 1 clean"},
		{"all done in 25 minutes", "all done; total 25 min"},
		{"1. clean\n2. shaky\n3. skipped", "item 1 clean; item 2 shaky; item 3 skipped"},
		{"1) clean 2) shaky", "item 1 clean; item 2 shaky"},
		{"1y 2n", "item 1 done; item 2 skipped"},
		{"2 at 88, 90 and 92", "item 2 done quarter=88->92"},
		{"2 q=88 -> q=92", "item 2 done quarter=88->92"},
		{"spent 15 minutes on 4", "item 4 done for 15 min"},
		{"1 70 (8 min), 2 92 (10 min)", "item 1 done quarter=70 for 8 min; item 2 done quarter=92 for 10 min"},
		{"40-45 min", "unclear ⟦minutes⟧"},
		{"without 4, all done", "partly; item 1 done; item 2 done; item 3 done; item 4 skipped"},
		{"all but the etude clean", "partly; item 1 clean; item 2 clean; item 3 clean; item 4 skipped"},
		{"only 1 and 2. 20 min.", "partly; total 20 min; item 1 done; item 2 done; item 3 skipped; item 4 skipped"},
		{"all but one", "partly; unclear ⟦item ?⟧"},
		{"1 clean, 2 ok, 1 shaky", "item 2 clean; unclear ⟦item 1⟧"},
		{"etude 1 clean", "unclear ⟦item ?⟧"},
		{"I don't understand item 3", "unclear ⟦item 3⟧"},
		{"4 bars 1-8 clean", "item 4 clean ⟦bars 1-8⟧"},
		{"3 shaky, 4th finger slow", "item 3 shaky ⟦4th finger slow⟧"},
		{"4 80 clean, second time better", "item 4 clean quarter=80 ⟦second time better⟧"},
		{"done 50%", "partly"},
		{"neither 1 nor 2", "item 1 skipped; item 2 skipped"},
		{"1 or 2 clean", "unclear ⟦item ?⟧"},
		{"nothing but 1", "partly; item 1 done; item 2 skipped; item 3 skipped; item 4 skipped"},
		{"everything skipped except 1", "partly; item 1 done; item 2 skipped; item 3 skipped; item 4 skipped"},
		{"skipped everything", "nothing"},
		{"none of the slurs", "item 2 skipped"},
		{"didn't do everything, only 1", "partly; item 1 done; item 2 skipped; item 3 skipped; item 4 skipped"},
		{"all done. see you thursday!", "all done"},
		{"10 min slurs 20 min etude", "item 2 done for 10 min; item 4 done for 20 min"},
		{"at 5pm 40 min", "total 40 min"},
		{"no pain just tired", "tired"},
		{"2 shaky, tired lips", "item 2 shaky; tired"},
		{"not 2 but 3", "item 2 skipped; item 3 done"},
		{"3 slow, 70", "unclear ⟦item 3⟧"},
		{"2 ⟦kept; as 3 it is⟧ clean", "item 2 clean ⟦kept; as 3 it is⟧"},
		{"2 at 88, no wait, 90 clean", "item 2 clean quarter=90"},
		{"40 min, no, 45", "total 45 min"},
		{"1 clean, I mean 2 clean", "item 2 clean"},
		{"1 and 3 tomorrow, rest done", "item 2 done; item 4 done"},
		{"wanted to do 4 but no time", "item 4 skipped"},
		{"I will do 4 later, nothing now", "unclear ⟦item ?⟧"},
		{"slurs and scales, no etude", "item 2 done; item 3 done; item 4 skipped"},
		{"some slurs, some scales", "item 2 done; item 3 done"},
		{"did all of them, some shaky", "all done; unclear ⟦item ?⟧"},
		{"10 min each on 2 and 3", "item 2 done for 10 min; item 3 done for 10 min"},
		{"10 minutes per exercise", "unclear ⟦minutes⟧"},
		{"3 sets of 15 min", "total 45 min"},
		{"5:30 to 6:15", "unclear ⟦minutes⟧"},
		{"did half of 4", "item 4 shaky ⟦did half⟧"},
		{"1, then 2 at 90", "item 1 done; item 2 done quarter=90"},
		{"1 held 52 s", "item 1 clean ⟦52 s⟧"},
		{"2 no longer shaky", "item 2 done"},
		{"2 not as clean as yesterday", "item 2 shaky ⟦as yesterday⟧"},
		{"3 felt good", "item 3 clean"},
		{"2 +4 bpm", "item 2 done ⟦4 bpm⟧"},
		{"we played the 4 hymns", "unclear ⟦item 4⟧"},
		{"haha ok 1 and 3 done", "item 1 done; item 3 done"},
		{"1 clean 2 too 3 shaky", "item 1 clean; item 2 clean; item 3 shaky"},
		{"power cut, so no practice", "nothing"},
		{"6 hrs of overtime, no practice", "nothing"},
		{"all but 4 done", "partly; item 1 done; item 2 done; item 3 done; item 4 skipped"},
		{"all the slurs clean", "item 2 clean"},
		{"daily ground study 2 clean", "item 3 clean"},
		{"4: bar 3 only", "item 4 shaky ⟦bar 3 only⟧"},
		{"1, 2 and just the first half of 4", "item 1 done; item 2 done; item 4 shaky ⟦just the first half⟧"},
		{"3 through all keys clean", "item 3 clean ⟦through all keys⟧"},
		{"3 with all the repeats 84 clean", "item 3 clean quarter=84 ⟦with all the repeats⟧"},
		{"3 everything but the end", "item 3 done ⟦everything but the end⟧"},
		{"today I played the whole routine by heart", "all done"},
		{"all clean today. 1: 62/clean, 2: 90/clean", "all done; item 1 clean quarter=62; item 2 clean quarter=90; item 3 clean; item 4 clean"},
		{"done 14 + 14 + 12", "all done; total 40 min"},
		{"Gulls at the Lock 90 perfect love it", "item 4 clean quarter=90"},
		{"all done 30, today 45", "all done; unclear ⟦minutes⟧"},
		{"1 lcean", "item 1 clean"},
		{"2 felt rough", "item 2 shaky"},
		{"did 1 and 2 on the train", "travel; item 1 done; item 2 done"},
		{"couldn't play 3 without pain", "item 3 missed; unclear ⟦pain⟧"},
		{"3 at 88, 96 is too fast for me", "item 3 done quarter=88 ⟦96 is too fast for me⟧"},
		{"1, 2 and 3, 4 skipped", "item 1 done; item 2 done; item 3 done; item 4 skipped"},
		{"gulls 5 times, 3 of them clean", "item 4 shaky 3 of 5"},
		{"did 1 and 2, 3 and 4 tomorrow", "item 1 done; item 2 done"},
		{"3 half of 4", "item 3 done; item 4 shaky ⟦half⟧"},
		{"1 just the beginning of 4", "item 1 done; item 4 shaky ⟦just the beginning⟧"},
		{"only 4 not done", "partly; item 1 done; item 2 done; item 3 done; item 4 skipped"},
		{"while the roast was in the oven I practised 30 minutes", "total 30 min"},
		{"the first two items clean", "item 1 clean; item 2 clean"},
		{"did 4 instead of 3", "item 3 skipped; item 4 done"},
		{"9 done", "unclear ⟦item ?⟧"},
		{"2 from 84 and up to 92", "item 2 done quarter=84->92"},
		{"2 at 96 in quarters, shaky", "item 2 shaky quarter=96"},
		{"3 at 90! clean!", "item 3 clean quarter=90"},
		{"forgot 2 😬", "item 2 skipped"},
		{"40 min, no, sorry, 45", "total 45 min"},
		{"1 more or less. 12 min.", "total 12 min; item 1 shaky"},
		{"visitors on Sunday but 1 was good", "item 1 clean"},
		{"lesson on Monday was good. 2 clean", "item 2 clean"},
		{"what an odd key, but 2 at 90", "item 2 done quarter=90"},
		{"did 3. couldn't do 1 and 2", "item 1 missed; item 2 missed; item 3 done"},
		{"did 1, 2 skipped", "item 1 done; item 2 skipped"},
		{"2 clean. I have 3 apples", "item 2 clean"},
		{"1 at 70, 2 at 90, 3 at 88, all three good", "item 1 clean quarter=70; item 2 clean quarter=90; item 3 clean quarter=88"},
		{"fist breath clean", "item 1 clean"},
		{"4 of 5 at 90 for 2", "item 2 shaky quarter=90 4 of 5"},
		{"great lesson yesterday. 2 done", "item 2 done"},
		{"the concert is at 7 on Friday. 1 clean", "item 1 clean"},
		{"left 3 and 4 out", "item 3 skipped; item 4 skipped"},
		{"3 goooood", "item 3 clean"},
		{"2 clean. slept till 3", "item 2 clean"},
		{"stairs all day, 2 clean", "item 2 clean"},
		{"scales by thirds goood, two stips up shaky", "item 2 shaky; item 3 clean"},
		{"did 1+3 but skipped 2", "item 1 done; item 2 skipped; item 3 done"},
		{"39.5 fever. 1 done", "ill; item 1 done"},
		{"stopped after 2 because dinner was ready", "partly; item 1 done; item 2 done; item 3 skipped; item 4 skipped"},
		{"only up to 2", "partly; item 1 done; item 2 done; item 3 skipped; item 4 skipped"},
		{"2 made it to 92", "item 2 done quarter=92"},
		{"1 clean, from 3 on nothing", "item 1 clean; item 3 skipped; item 4 skipped"},
		{"1 and 2 clean, the other 2 skipped", "item 1 clean; item 2 clean; item 3 skipped; item 4 skipped"},
		{"1 70, 2 90. Both clean.", "item 1 clean quarter=70; item 2 clean quarter=90"},
		{"did 2 and 4 (80, clean)", "item 2 done; item 4 clean quarter=80"},
		{"okay number one fine number two at ninety shaky", "item 1 clean; item 2 shaky quarter=90"},
		{"did 1, then both scales and etude at 80", "item 1 done; item 3 done quarter=80; item 4 done quarter=80"},
		{"skipped 1, 2 and 3 clean", "item 1 skipped; item 2 clean; item 3 clean"},
		{"2 nearly clean", "item 2 shaky"},
		{"2 shaky, I rush the runs", "item 2 shaky ⟦I rush the runs⟧"},
		{"2 way too fast haha", "item 2 done ⟦way too fast⟧"},
		{"just the warm-up, then the phone rang", "partly; item 1 done; item 2 skipped; item 3 skipped; item 4 skipped"},
		{"she did 25 min", "unclear ⟦minutes⟧"},
		{"got 14/20 in physics, 1 clean", "item 1 clean"},
		{"the concert is in 9 days. 1 clean", "item 1 clean"},
		{"Yes! 1 clean", "item 1 clean"},
		{"2 clean at 90. did it twice", "item 2 clean quarter=90 2x"},
		{"2 at 90 x 3", "item 2 done quarter=90 3x"},
		{"3 all clean", "item 3 clean"},
		{"3 at 90 all clean", "item 3 clean quarter=90"},
		{"3 90 all clean", "item 3 clean quarter=90"},
		{"3, all clean", "all done; item 1 clean; item 2 clean; item 3 clean; item 4 clean"},
		{"2 all keys", "item 2 done ⟦all keys⟧"},
		{"2 all the notes", "item 2 done ⟦all the notes⟧"},
		{"unfortunately missed: 3", "item 3 missed"},
		{"battled 3", "unclear ⟦item 3⟧"},
		{"I battled 3 and 4", "unclear ⟦item 3⟧; unclear ⟦item 4⟧"},
		{"wanted to do 3 but ran out of time", "item 3 skipped"},
		{"supposed to do 3 and 4, didn't", "item 3 skipped; item 4 skipped"},
		{"meant to do 3, no time", "item 3 skipped"},
		{"1 clean, wanted to do 2 but no time", "item 1 clean; item 2 skipped"},
		{"1 clean. wanted to do 2 but ran out of time", "item 1 clean; item 2 skipped"},
		{"sorry I'm late with this, 4 up to 80", "item 4 done quarter=80"},
		{"will do 1 tonight, 3 was good", "item 3 clean"},
		{"2 clean, same for 3", "item 2 clean; item 3 clean"},
		{"2 missed and so was 3", "item 2 missed; item 3 missed"},
		{"2 90 clean, same for 3 at 88", "item 2 clean quarter=90; item 3 clean quarter=88"},
		{"2 clean, also 3 shaky", "item 2 clean; item 3 shaky"},
		{"1 clean, only 2 shaky", "item 1 clean; item 2 shaky"},
		{"only one was clean", "unclear ⟦item ?⟧"},
		{"all but one done", "partly; unclear ⟦item ?⟧"},
		{"nothing was clean", "unclear ⟦item ?⟧"},
		{"one clean two shaky", "item 1 clean; item 2 shaky"},
		{"1, 3, 4 clean, only 2 at 84", "item 1 clean; item 2 done quarter=84; item 3 clean; item 4 clean"},
		{"1 clean whereas 2 at 90 shaky", "item 1 clean; item 2 shaky quarter=90"},
		{"did 1, only 3", "partly; item 1 done; item 2 skipped; item 3 done; item 4 skipped"},
		{"2 clean, same for the gulls", "item 2 clean; item 4 clean"},
		{"2 was clean but 3 wasn't", "item 2 clean; item 3 shaky"},
		{"2 was shaky, 3 wasn't", "item 2 shaky; item 3 clean"},
		{"2 was done, 3 wasn't", "item 2 done; item 3 skipped"},
		{"instead of 2 I did 3", "item 2 skipped; item 3 done"},
		{"after 2 I did 3", "item 3 done; unclear ⟦item 2⟧"},
		{"1, 2, 3 at 70, 90, 88", "item 1 done quarter=70; item 2 done quarter=90; item 3 done quarter=88"},
		{"1-3 at 70/90/88 clean", "item 1 clean quarter=70; item 2 clean quarter=90; item 3 clean quarter=88"},
		{"2 at 84/88/92", "item 2 done quarter=84->92"},
		{"new record on 3: 92", "item 3 done quarter=92"},
		{"3 92 5 clicks up", "item 3 done quarter=92 ⟦5 clicks up⟧"},
		{"2 at 88\nclean", "item 2 clean quarter=88"},
		{"2 at 88. Good.", "item 2 clean quarter=88"},
		{"2 at 88. Shaky in the middle. 3 at 90. Clean.", "item 2 shaky quarter=88 ⟦in the middle⟧; item 3 clean quarter=90"},
		{"did 2 and 3. Both good.", "item 2 clean; item 3 clean"},
		{"1 at 70\n2 at 92\n3 at 88\nall clean", "item 1 clean quarter=70; item 2 clean quarter=92; item 3 clean quarter=88"},
		{"1 at 70\n2 at 92\nall done", "all done; item 1 done quarter=70; item 2 done quarter=92"},
		{"slurs, no time", "item 2 skipped"},
		{"1 clean. 2, no.", "item 1 clean; item 2 skipped"},
		{"2 clean, didn't finish 3", "item 2 clean; item 3 shaky ⟦didn't finish⟧"},
		{"3 started, not finished", "item 3 shaky ⟦not finished⟧"},
		{"couldn't get the gulls, breath and steps were good", "item 1 clean; item 2 clean; item 4 missed"},
		{"only Daily Ground", "partly; item 2 skipped; item 4 skipped; unclear ⟦item ?⟧"},
		{"all but Daily Ground", "partly; item 2 done; item 4 done; unclear ⟦item ?⟧"},
		{"rest day 👍", "rest day"},
		{"9 no time", "unclear ⟦item ?⟧"},
		{"1 clean, 9 no time", "item 1 clean; unclear ⟦item ?⟧"},
		{"skipped 9", "unclear ⟦item ?⟧"},
		{"skipped 2 and 9", "item 2 skipped; unclear ⟦item ?⟧"},
		{"2 started at 84, ended at 92", "item 2 done quarter=84->92"},
		{"3 at 88, not at 96 yet", "item 3 done quarter=88 ⟦not at 96 yet⟧"},
		{"1. DONE 2. 90 CLEAN 3. SKIPPED", "item 1 done; item 2 clean quarter=90; item 3 skipped"},
		{"1 done, rest tonight, hopefully", "item 1 done"},
		{"2 done, my brother did 3", "item 2 done"},
		{"an hour & a half", "total 90 min"},
		{"had visitors did nothing", "nothing"},
		{"1 1/2 hours", "total 90 min"},
		{"1 h 1/2", "total 90 min"},
		{"practised from 5 to 6", "unclear ⟦minutes⟧"},
		{"2 at 80%", "item 2 shaky ⟦at 80%⟧"},
		{"2 3x88", "item 2 done quarter=88 3x"},
		{"twice 20 min", "total 40 min"},
		{"1 clean 2 clean 3? no idea how", "item 1 clean; item 2 clean"},
		{"skipped 3 because 2 took so long", "item 2 done; item 3 skipped"},
		{"skipped 3 because of 2", "item 2 done; item 3 skipped"},
		{"2 took 30 min so no time for 3", "total 30 min; item 2 done; item 3 skipped"},
		{"1 clean, couldn't start 3", "item 1 clean; item 3 missed"},
		{"couldn't tame the 3 and 4", "item 3 missed; item 4 missed"},
		{"3 could be cleaner", "item 3 shaky"},
	} {
		got := r.Read(test.text, c)
		if want := "2026-03-04: " + test.want; len(got) != 1 || got[0].Canonical() != want {
			t.Errorf("%q\n got %s\nwant %s", test.text, got[0].Canonical(), want)
		}
	}
}

// TestPain reads what is pain, what may be and what is none. Where two readings
// are possible it must be asked.
func TestPain(t *testing.T) {
	r := newReader(t)
	c := reply.Context{Routine: decode(t, monday), Today: today}
	for lang, texts := range map[string][3]string{
		"en": {
			"my lip hurts|lip went numb|pain in my jaw|lips bleeding|my ears are ringing|peins in the lip|still hurts|pian in my arm|hurts less today|ears ringing, did 1",
			"lips sore|lip split|ouch|3 painful|swollen lip|my lip is stiff|my lip hardly hurts|hardly any pain|anything but painless|far from painless|not without pain|no pain except in 3",
			"no pain|painless|pain in the neck, this one!|it doesn't hurt|a right pain|painted my room|spain was nice|the piano in 2|no numbness today|nothing hurts",
		},
		"de": {
			"Lippe tut weh|Lippe taub|Schmerzen im Kiefer|Lippe blutet|Ohrensausen|schmertzen|alles tut weh|taubes Gefühl",
			"Lippe wund|Lippe brennt|geschwollen|Lippe tut kaum weh|alles andere als schmerzfrei|nicht ohne Schmerzen", "keine Schmerzen|schmerzlos|tut nicht weh|schmerzfrei|mir tut nichts weh",
		},
		"fr": {
			"mal à la lèvre|lèvre engourdie|la lèvre saigne|douleur au cou|oreilles qui sifflent|doulleur à la lèvre|ça fait mal",
			"lèvre irritée|ça brûle|gonflée|tout sauf indolore|pas sans douleur|j'ai plus mal qu'hier", "sans douleur|pas de douleur|pas mal|indolore|je n'ai pas mal",
		},
		"es": {
			"me duele el labio|labio dormido|sangra el labio|dolor en la mandíbula|me zumban los oídos|dolro en el labio",
			"labio irritado|arde|hinchado|apenas me duele el labio|no sin dolor", "sin dolor|no me duele|indoloro|nada me duele",
		},
	} {
		c.Lang = lang
		for i, want := range []string{"pain", "asked", "none"} {
			for _, text := range strings.Split(texts[i], "|") {
				if got := painOf(r.Read(text, c)); got != want {
					t.Errorf("%s: %q is read as %s, want %s", lang, text, got, want)
				}
			}
		}
	}
}

func painOf(all []reply.Reading) string {
	for _, q := range all[0].Ask {
		if q.About == "pain" {
			return "asked"
		}
	}
	if all[0].Pain {
		return "pain"
	}
	return "none"
}

// TestDays reads messages about several days.
func TestDays(t *testing.T) {
	r := newReader(t)
	c := reply.Context{Routine: decode(t, monday), Today: today, Lang: "en"}
	for text, want := range map[string]string{
		"ill yesterday and today":                  "2026-03-03: ill | 2026-03-04: ill",
		"done yesterday, nothing today":            "2026-03-03: all done | 2026-03-04: nothing",
		"sunday and monday nothing":                "2026-03-01: nothing | 2026-03-02: nothing",
		"30 min monday, 45 min tuesday":            "2026-03-02: total 30 min | 2026-03-03: total 45 min",
		"tues: done 40. wed: rest":                 "2026-03-03: all done; total 40 min | 2026-03-04: rest day",
		"1 slower than yesterday":                  "2026-03-04: item 1 done ⟦slower than yesterday⟧",
		"sick on the 2nd, done on the 3rd, 20 min": "2026-03-02: ill | 2026-03-03: all done; total 20 min",
		"on holiday until monday":                  "2026-03-04: travel",
		"didn't practise today, 2 clean Sunday":    "2026-03-04: nothing | 2026-03-01: item 2 clean",
		"2 good 28/2, gig tonight":                 "2026-02-28: item 2 clean | 2026-03-04: performance",
	} {
		var got []string
		for _, reading := range r.Read(text, c) {
			got = append(got, reading.Canonical())
		}
		if strings.Join(got, " | ") != want {
			t.Errorf("%q\n got %s\nwant %s", text, strings.Join(got, " | "), want)
		}
	}
}

func TestPainGone(t *testing.T) {
	r := newReader(t)
	c := reply.Context{Routine: decode(t, monday), Today: today}
	for text, lang := range map[string]string{
		"the pain is gone": "en", "no more pain, done 30": "en", "tut nicht mehr weh": "de", "plus de douleur": "fr", "ya no me duele": "es",
	} {
		c.Lang = lang
		if got := r.Read(text, c)[0]; !got.PainGone || got.Pain {
			t.Errorf("%q: pain %v, gone %v", text, got.Pain, got.PainGone)
		}
	}
	if got := r.Read("no pain, done", c)[0]; got.PainGone {
		t.Error(`"no pain" alone says that an earlier pain is over`)
	}
}

// TestYesterdaysRoutine reads items of yesterday against yesterday's routine.
func TestYesterdaysRoutine(t *testing.T) {
	r := newReader(t)
	c := reply.Context{
		Routine: decode(t, monday), Today: today, Lang: "en",
		Previous: decode(t, `{"items":[{"n":1,"skill":"etude","note":"half","from":50,"to":54,"minutes":10}]}`),
	}
	got := r.Read("yesterday etude 52, today etude 80", c)
	if len(got) != 2 || got[0].Canonical() != "2026-03-03: item 1 done half=52" || got[1].Canonical() != "2026-03-04: item 4 done quarter=80" {
		t.Errorf("got %s", brief(got))
	}
	c.Last = &reply.Reading{Kind: reply.Report, Day: today - 1, All: reply.All}
	if got := r.Read("sorry, the etude was shaky", c); got[0].Canonical() != "correction 2026-03-03: item 1 shaky" {
		t.Errorf("correction: got %s", brief(got))
	}
}

// TestPlayedBefore says more of a day whose beginning was told earlier.
func TestPlayedBefore(t *testing.T) {
	r := newReader(t)
	items := []reply.Item{{N: 1, Outcome: routine.Clean}, {N: 2, Outcome: routine.Skipped}}
	c := reply.Context{Routine: decode(t, monday), Today: today, Lang: "en"}
	c.Last = &reply.Reading{Kind: reply.Report, Day: today, Minutes: 20, Items: items}
	for text, want := range map[string]string{
		"rest done, 40 min":    "total 40 min; item 2 done; item 3 done; item 4 done",
		"3 clean, the rest ok": "item 2 clean; item 3 clean; item 4 clean",
		"only 3":               "partly; item 2 skipped; item 3 done; item 4 skipped",
		"all but 4 done":       "partly; item 2 done; item 3 done; item 4 skipped",
		"sorry, only 3":        "partly; item 1 skipped; item 2 skipped; item 3 done; item 4 skipped",
		"all clean":            "all done; item 1 clean; item 2 clean; item 3 clean; item 4 clean",
		"another 15 min":       "total 35 min",
		"10 more minutes":      "total 30 min",
		"an extra 10 min":      "total 30 min",
		"30 min":               "total 30 min",
		"Another 15 min":       "total 35 min",
		"another 5 min on 3":   "item 3 done for 5 min",
		"yesterday 10 more":    "total 10 min",
		"yesterday rest done":  "item 1 done; item 2 done; item 3 done; item 4 done",
	} {
		got := r.Read(text, c)
		if _, said, _ := strings.Cut(got[0].Canonical(), ": "); len(got) != 1 || said != want {
			t.Errorf("%q:\n got %s\nwant %s", text, brief(got), want)
		}
	}
}

// TestFarTempo confirms a tempo that is out of the item's reach.
func TestFarTempo(t *testing.T) {
	r := newReader(t)
	c := reply.Context{Routine: decode(t, monday), Today: today, Lang: "en"}
	for text, want := range map[string]string{
		"1 quarter=200 clean": "item 1 clean quarter=200", "1 200 clean": "item 1 clean quarter=200", "1 @20->200": "item 1 done quarter=20->200",
	} {
		asked := r.Read(text, c)[0]
		if len(asked.Ask) != 1 || len(asked.Items) != 0 || asked.Ask[0].Choices[0].Label != want {
			t.Errorf("%q: got %s, want to be asked and offered %q", text, brief([]reply.Reading{asked}), want)
			continue
		}
		got := r.Read(asked.Ask[0].Choices[0].Text, c)[0]
		if len(got.Ask) != 0 || len(got.Items) != 1 || got.Items[0].Tempo == nil || got.Items[0].Tempo.To != 200 {
			t.Errorf("%q: the choice reads as %s", text, got.Canonical())
		}
		if again := r.Read(got.Canonical(), c)[0]; again.Canonical() != got.Canonical() {
			t.Errorf("%q: %q reads as %q", text, got.Canonical(), again.Canonical())
		}
	}
}

func TestNoRoutine(t *testing.T) {
	r := newReader(t)
	for text, want := range map[string]string{
		"done 40m": "2026-03-04: all done; total 40 min", "sick": "2026-03-04: ill", "thanks": "-", "1 clean": "2026-03-04: unclear ⟦item ?⟧",
		"1 felt awful": "2026-03-04: unclear ⟦item ?⟧", "couldn't play 2": "2026-03-04: unclear ⟦item ?⟧",
	} {
		if got := r.Read(text, reply.Context{Today: today}); got[0].Canonical() != want {
			t.Errorf("%q: got %s, want %s", text, got[0].Canonical(), want)
		}
	}
}

// TestOthersPlayed checks that what somebody else has played, or what was never
// played, is no report.
func TestOthersPlayed(t *testing.T) {
	r := newReader(t)
	c := reply.Context{Routine: decode(t, monday), Today: today, Lang: "en"}
	for _, text := range []string{
		"Bella played the whole routine by heart", "my brother did the whole routine on his tuba", "the band played everything too loud",
		"if I played everything by heart it would be great", "I wish I had played everything", "meine Schwester hat alles gespielt, auswendig",
	} {
		if got := r.Read(text, c); got[0].Kind != reply.Chat || len(got) > 1 {
			t.Errorf("%q is %s", text, got[0].Canonical())
		}
	}
}

func TestQuestionIsKept(t *testing.T) {
	r := newReader(t)
	c := reply.Context{Routine: decode(t, monday), Today: today, Lang: "en"}
	for text, want := range map[string]string{
		"should I use third valve on 2?":               "should I use third valve on 2?",
		"done 40m. should I use third valve on 2?":     "should I use third valve on 2?",
		"hi! how fast should 3 be? thanks":             "how fast should 3 be?",
		"all done 50m, is 3 meant to be slurred?":      "is 3 meant to be slurred?",
		"is it normal that my lip goes numb? it hurts": "is it normal that my lip goes numb?",
	} {
		if got := strings.TrimSpace(r.Read(text, c)[0].Question); got != want {
			t.Errorf("%q: question %q, want %q", text, got, want)
		}
	}
}

func TestStream(t *testing.T) {
	r := newReader(t)
	c := reply.Context{Routine: decode(t, monday), Today: today, Lang: "en"}
	var out bytes.Buffer
	if err := r.Stream(strings.NewReader("2 84->92 clean\nyesterday 40m, today rest day\nthanks\n"), &out, c, false); err != nil {
		t.Fatal(err)
	}
	want := `{"text":"2 84->92 clean","kind":"report","day":"2026-03-04","items":[{"n":2,"outcome":"clean","tempo":{"from":84,"to":92,"note":"quarter"}}]}
{"text":"yesterday 40m, today rest day","kind":"report","day":"2026-03-03","minutes":40}
{"text":"yesterday 40m, today rest day","kind":"report","day":"2026-03-04","excused":"rest"}
{"text":"thanks","kind":"chat"}
`
	if out.String() != want {
		t.Errorf("got\n%swant\n%s", out.String(), want)
	}
	out.Reset()
	if err := r.Stream(strings.NewReader("2 clean\n"), &out, c, true); err != nil {
		t.Fatal(err)
	}
	if want := `{"text":"2 clean","words":[{"text":"2","as":"item"},{"text":"clean","as":"outcome"}]}` + "\n"; out.String() != want {
		t.Errorf("explained as %s, want %s", out.String(), want)
	}
}

func TestJSONRoundTrip(t *testing.T) {
	r := newReader(t)
	c := reply.Context{Routine: decode(t, monday), Today: today, Lang: "en"}
	got := r.Read("2 about 92 clean, 3 300, pain in my jaw", c)[0]
	text, err := json.Marshal(got)
	if err != nil {
		t.Fatal(err)
	}
	var again reply.Reading
	if err := json.Unmarshal(text, &again); err != nil {
		t.Fatal(err)
	}
	if brief([]reply.Reading{again}) != brief([]reply.Reading{got}) {
		t.Errorf("%s reads back as %s", brief([]reply.Reading{got}), brief([]reply.Reading{again}))
	}
}

func TestDecodeRoutineErrors(t *testing.T) {
	for text, want := range map[string]string{
		``:                                      "the file is empty",
		`{"items":[]}`:                          "0 items; write between 1 and 60",
		`{"items":[{"n":2}]}`:                   "item 1 of the list has n = 2",
		`{"items":[{"n":"1"}]}`:                 "write a int",
		`{"items":[{"n":1},]}`:                  "not JSON at byte",
		`{"items":[{"n":1,"skill":"x"}]}`:       `item 1: skill "x"; write one of`,
		`{"items":[{"n":1,"note":"q"}]}`:        `note value "q"`,
		`{"items":[{"n":1,"from":96,"to":84}]}`: "item 1: tempo 96 to 84 goes down",
		`{"items":[{"n":1,"to":2000}]}`:         "between 0 and 1000",
		`{"items":[{"n":1,"minutes":-1}]}`:      "item 1: -1 minutes",
	} {
		_, err := reply.DecodeRoutine(strings.NewReader(text))
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: error %v, want one sentence with %q", text, err, want)
		}
	}
}

// TestConcurrentReaders reads the corpus in several goroutines at once; run it
// with -race.
func TestConcurrentReaders(t *testing.T) {
	r := newReader(t)
	samples := corpus(t)
	routines := map[string]*routine.Routine{}
	want := make([]string, len(samples))
	for i, s := range samples {
		want[i] = brief(r.Read(s.Text, s.context(t, routines)))
	}
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for i, s := range samples {
				c := reply.Context{Routine: routines[s.Routine], Today: s.Today, Lang: s.Lang, Last: s.Last}
				if got := brief(r.Read(s.Text, c)); got != want[i] {
					t.Errorf("%q: %s, alone %s", s.Text, got, want[i])
				}
			}
		})
	}
	wait.Wait()
}
