package trial

import (
	"math"
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks/forecast"
)

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

// Half of what fades is gone after a half-life, and half of the rest after twenty
// of them; played in between, a quarter of what was left has become lasting.
func TestFade(t *testing.T) {
	m := Base()
	p := &person{model: &m, halfLife: 10}
	s := &skill{lasting: 4, fresh: 4, touched: Begin}
	p.fade(s, Begin+10)
	if !near(s.fresh, 2) || !near(s.lasting, 4*math.Exp2(-1.0/20)) {
		t.Errorf("after a half-life %v fresh and %v lasting", s.fresh, s.lasting)
	}
	lasting := s.lasting
	p.learn(s, Begin+10, 1)
	if !near(s.fresh, 2*0.75+0.5) || !near(s.lasting, lasting+2*0.25+0.5) {
		t.Errorf("after a playing %v fresh and %v lasting", s.fresh, s.lasting)
	}
	m.Fresh = 0
	before := s.fresh + s.lasting
	if p.fade(s, Begin+1000); s.fresh+s.lasting != before {
		t.Error("forgotten, though nothing is to be")
	}
}

// On the exponential law, ln 4 over the rate playings bring a student from 60 to
// 120 on the way to 140.
func TestCan(t *testing.T) {
	m := Base()
	p := &person{model: &m, halfLife: 10}
	s := &skill{curve: forecast.Curve{Law: forecast.Exponential, Limit: 140, Span: 80, Rate: 0.05}, touched: Begin}
	s.lasting = math.Log(4) / 0.05
	if can := p.can(s, Begin); !near(can, 120) {
		t.Errorf("can play %v, want 120", can)
	}
}

// Practice is worth most at the edge, and too fast is worse than too slow.
func TestAtEdge(t *testing.T) {
	if !near(atEdge(1), 1) {
		t.Errorf("%v at the edge, want 1", atEdge(1))
	}
	if slow, fast := atEdge(0.9), atEdge(1/0.9); slow <= fast || slow >= 1 {
		t.Errorf("%v a tenth too slow, %v a tenth too fast", slow, fast)
	}
}

// Twice the minutes are less than twice the practice, unless the model says so.
func TestDoses(t *testing.T) {
	g := &goal{demands: routine.Demands{Repeats: 2}, line: &routine.Line{Beats: 16}}
	tempo := routine.Tempo{BPM: 96, Note: routine.Quarter}
	m := Base()
	if usual := m.doses(2, tempo, g); !near(usual, 1) { // 2 min of 96 beats, a line of 32 half as long again: 4 times
		t.Errorf("four times through count %v, want 1", usual)
	}
	if twice := m.doses(4, tempo, g); twice <= 1 || twice >= 2 {
		t.Errorf("eight times through count %v", twice)
	}
	m.Even = true
	if twice := m.doses(4, tempo, g); !near(twice, 2) {
		t.Errorf("eight times through count %v evenly, want 2", twice)
	}
}

// A second strenuous item right after the first is played on a tired lip; with a
// soft one between, on a less tired one. Hard days add up, and a day off helps.
func TestBody(t *testing.T) {
	factor := func(play func(*body)) float64 {
		b := &body{scale: 1, capacity: 8, warm: 20}
		play(b)
		return b.factor(true)
	}
	hard := func(b *body) { b.play(4, 4, true) }
	fresh := factor(func(*body) {})
	beside := factor(hard)
	parted := factor(func(b *body) { hard(b); b.play(4, 4, false) })
	if !(beside < parted && parted < fresh) {
		t.Errorf("factor %v right after a strenuous item, %v with a soft one between, %v fresh", beside, parted, fresh)
	}
	day := func(b *body) { b.play(16, 0, true); b.sleep(); b.warm = 20 }
	one := factor(day)
	two := factor(func(b *body) { day(b); day(b) })
	rested := factor(func(b *body) { day(b); day(b); b.sleep(); b.warm = 20 })
	if !(two < one && one < fresh && rested > two) {
		t.Errorf("factor %v after one day too hard, %v after two, %v a day later", one, two, rested)
	}
	if f := (&body{lip: 9, sore: 3}).factor(true); f != 1 {
		t.Errorf("factor %v though nothing tires", f)
	}
}

// What she says follows from the tempo: clean if she could, shaky if nearly.
func TestSays(t *testing.T) {
	m := Base()
	p := &person{model: &m, seed: 1, nearly: 1.5}
	counts := map[routine.Outcome]int{}
	for _, marks := range []float64{0.2, -1, -2} {
		for i := range 200 {
			counts[p.says(math.Exp(marks*mark), 0, draw(1, ofItem, "", i))]++
		}
	}
	for _, o := range []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed} {
		if n := counts[o]; n < 185 || n > 215 {
			t.Errorf("%d of 600 are %s, want about 200", n, o)
		}
	}
	p.silent = 1
	if o := p.says(1, 0, draw(1, ofItem, "", 0)); o != routine.Done {
		t.Errorf("a silent student says %s", o)
	}
}
