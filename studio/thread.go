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
		return t.done(t.tx.PutStudio(t.studio), "thread.private", with{"name": m.Name})
	}
	if whose, taken := t.studio.StudentAt(t.at()); taken && whose != m.ID || slices.Contains(t.studio.Channels, t.at()) {
		return Post{}, usage("wrong.thread", nil)
	}
	t.studio.Threads = append(others, Thread{Member: m.ID, At: t.at()})
	return t.done(t.tx.PutStudio(t.studio), "thread.done", with{"name": m.Name})
}
