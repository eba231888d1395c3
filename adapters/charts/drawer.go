package charts

import (
	"fmt"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A Drawer draws pictures, in the language that each of them names. It may be
// used by several goroutines at once.
type Drawer struct {
	words func(studio.StudioID) *words.Lexicon
}

var _ studio.Drawer = (*Drawer)(nil)

// New returns a Drawer that writes in the words of each studio; nil: in those of
// the program.
func New(of func(studio.StudioID) *words.Lexicon) *Drawer {
	if of == nil {
		of = func(studio.StudioID) *words.Lexicon { return words.Program() }
	}
	return &Drawer{of}
}

func (d *Drawer) voice(p *studio.Picture) *words.Voice { return d.words(p.Studio).In(p.Lang) }

// Draw returns the picture as a PNG file, 720 pixels wide and opaque. The same
// picture always gives the same bytes. It fails if the picture holds neither or
// both kinds, or figures that are none, such as a tempo without a note value.
func (d *Drawer) Draw(p studio.Picture) (png []byte, err error) {
	kinds := 0
	for _, set := range []bool{p.Tempo != nil, p.Calendar != nil, p.Minute != nil, p.Map != nil, p.Challenge != nil} {
		if set {
			kinds++
		}
	}
	switch {
	case kinds > 1:
		return nil, fmt.Errorf("picture holds %d kinds: send one picture for each", kinds)
	case p.Challenge != nil:
		return drawChallenge(d.voice(&p), *p.Challenge)
	case p.Map != nil:
		return drawMap(d.voice(&p), *p.Map)
	case p.Minute != nil:
		return drawMinute(d.voice(&p), *p.Minute)
	case p.Tempo != nil:
		return drawTempo(d.voice(&p), *p.Tempo)
	case p.Calendar != nil:
		return drawCalendar(d.voice(&p), *p.Calendar)
	}
	return nil, fmt.Errorf("picture is empty: set its tempo, its calendar, its minute, its map or its challenge")
}
