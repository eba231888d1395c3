package studio

import "slices"

// Who may do what is said in two places, both here: a command may be given by
// the roles that the table of commands names, and about the members for whom
// [Member.MaySee] holds. Everything is within one studio, the author's own.

// mayGive reports whether a role has a command.
func mayGive(r Role, name string) bool {
	return slices.ContainsFunc(commands(), func(c command) bool { return c.name == name && slices.Contains(c.roles, r) })
}

// may reports whether the author may see what is kept of a member and speak for
// her.
func (t *turn) may(m *Member) bool { return t.who.MaySee(m) }

// MaySee reports whether a member may see what is kept of another: everybody her
// own, a guardian her wards', who teaches that of all of the studio.
func (who *Member) MaySee(m *Member) bool {
	if m.Studio != who.Studio {
		return false
	}
	switch who.Role {
	case Teacher, Assistant:
		return true
	case Guardian:
		return m.ID == who.ID || slices.Contains(who.Wards, m.ID)
	}
	return m.ID == who.ID
}

// present returns those of members who belong to their studios still.
func present(members []Member) []Member {
	return slices.DeleteFunc(slices.Clone(members), func(m Member) bool { return m.Removed != 0 })
}
