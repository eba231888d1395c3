package studio

import "slices"

// threadCommand has a student written to in the thread in which it is said, or,
// said on the private line, on her own private line again.
func (t *turn) threadCommand(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	others := slices.DeleteFunc(slices.Clone(t.studio.Threads), func(x Thread) bool { return x.Member == m.ID })
	if t.msg.Private {
		t.studio.Threads = others
		return done(t.tx.PutStudio(t.studio), "%s is written to on her private line.", m.Name)
	}
	if whose, taken := t.studio.StudentAt(t.at()); taken && whose != m.ID || slices.Contains(t.studio.Channels, t.at()) {
		return Post{}, usage("say it in a thread that is nobody else's, or on your private line")
	}
	t.studio.Threads = append(others, Thread{Member: m.ID, At: t.at()})
	return done(t.tx.PutStudio(t.studio), "From now on I write to %s in that thread, and read what she says there. Whoever can see the thread sees her routine and her answers; what concerns her health stays on her private line.", m.Name)
}
