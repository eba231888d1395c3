package routine

import "slices"

// A piece is what the player performs today or tomorrow, as far as a warm-up
// must know it: music on her plan whose target date is a performance.
type piece struct {
	why          ReasonKind // to come as a warm-up for it
	keys         []string
	high         Pitch
	articulation Demand
}

// pieces finds what is performed today or tomorrow.
func (b *builder) pieces() []piece {
	var pieces []piece
	for i := range b.entries {
		e := &b.entries[i]
		target := e.plan.Target
		if left := target - b.in.Date; left < 0 || left > 1 || e.block != Etude.Place() || !slices.Contains(b.in.Player.Performances, target) {
			continue
		}
		p := piece{why: [...]ReasonKind{ForPieceToday, ForPieceTomorrow}[target-b.in.Date], articulation: e.demands.Articulation}
		for j := range b.facts {
			if f := &b.facts[j]; f.entry == i && f.work {
				p.keys, p.high = append(p.keys, f.line.Key), max(p.high, f.line.High)
			}
		}
		pieces = append(pieces, p)
	}
	return pieces
}

// suited returns the piece that a line warms up for: one in its key that goes as
// high, if the line is of what is played before range and music (common
// practice); nil if there is none.
func (b *builder) suited(f *facts) *piece {
	if f.line.Key == "" || b.entries[f.entry].block >= Range.Place() {
		return nil
	}
	i := slices.IndexFunc(b.performed, func(p piece) bool {
		return f.line.High <= p.high && slices.Contains(p.keys, f.line.Key)
	})
	if i < 0 {
		return nil
	}
	return &b.performed[i]
}

// pieceWorth is what warming up for a piece adds to the points of a line, and a
// quarter more if it is articulated as the piece is.
func (l *readied) pieceWorth() int {
	const suits = 400_000
	switch {
	case l.piece == nil:
		return 0
	case l.demands.Articulation == l.piece.articulation:
		return suits + suits/4
	}
	return suits
}
