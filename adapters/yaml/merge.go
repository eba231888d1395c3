package yaml

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
)

// A Row is a row of a table of members or of plans, by field.
type Row struct {
	Line  int
	Cells map[string]string
}

// A Table holds rows and the name of the file they come from.
type Table struct {
	Name string
	Rows []Row
}

// A Change is what a table changes about one member, or a member it adds.
type Change struct {
	Member string
	New    bool
	What   []string // such as "minutes: 30, was 40"; none: all is so already
}

// A merger puts tables into the file of a studio.
type merger struct {
	doc     yaml.Node
	members *yaml.Node // the list of members
	changes []*Change

	name     string
	rows     map[string]int   // line of the table of members, by id
	planRows map[string][]int // lines of the table of plans, by member
	tables   [2]string        // names of the two tables
	problems []routine.Problem
}

// Merge puts members and plans of tables into the text of a studio's file, and
// returns the new text with what it changes. A member who is not in the table
// stays as she is, as does what an empty cell stands for; a plan in the table
// takes the place of the whole plan. The comments of the file are kept. The
// result is checked as [ReadRoster] checks a file; a problem of what came from a
// table is told by the table's line.
func Merge(data []byte, name string, books *routine.Catalogue, members, plans Table) (merged []byte, changes []Change, problems []routine.Problem) {
	m := merger{name: name, rows: map[string]int{}, planRows: map[string][]int{}, tables: [2]string{members.Name, plans.Name}}
	if _, problems := rosterOf(data, name, nil); len(problems) > 0 {
		return nil, nil, problems
	}
	if err := yaml.Unmarshal(data, &m.doc); err != nil {
		return nil, nil, []routine.Problem{unreadable(name, err)}
	}
	m.members = valueOf(m.doc.Content[0], "members")
	for _, row := range members.Rows {
		m.member(row)
	}
	m.plans(plans.Rows)
	if len(m.problems) > 0 {
		return nil, nil, m.problems
	}
	var out bytes.Buffer
	enc := yaml.NewEncoder(&out)
	enc.SetIndent(2)
	if err := enc.Encode(&m.doc); err != nil {
		return nil, nil, []routine.Problem{unreadable(name, err)}
	}
	_, problems = rosterOf(out.Bytes(), name, books)
	for i := range problems {
		m.relocate(&problems[i], out.Bytes())
	}
	for _, c := range m.changes {
		changes = append(changes, *c)
	}
	return out.Bytes(), changes, problems
}

// valueOf returns the value of a field of a mapping, or nil.
func valueOf(n *yaml.Node, field string) *yaml.Node {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == field {
			return n.Content[i+1]
		}
	}
	return nil
}

// put sets a field of a mapping, in its old place or at the end.
func put(n *yaml.Node, field string, value *yaml.Node) {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == field {
			value.LineComment, value.HeadComment = n.Content[i+1].LineComment, n.Content[i+1].HeadComment
			n.Content[i+1] = value
			return
		}
	}
	n.Content = append(n.Content, scalar(field), value)
}

// scalar returns a text; what it is, the reader says.
func scalar(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: s} }

// plainText returns a text that is one, whatever it looks like.
func plainText(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s} }

func list(items ...*yaml.Node) *yaml.Node {
	return &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle, Content: items}
}

func pair(fields ...*yaml.Node) *yaml.Node {
	return &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: fields}
}

// nodeOf returns the value of a cell as the file has it.
func nodeOf(field, cell string) *yaml.Node {
	switch field {
	case "off", "wards", "performances", "lines", "pinned":
		n := list()
		for _, word := range strings.FieldsFunc(cell, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }) {
			n.Content = append(n.Content, scalar(word))
		}
		return n
	case "accounts":
		n := list()
		for _, account := range strings.Fields(cell) {
			platform, id, _ := strings.Cut(account, ":")
			n.Content = append(n.Content, pair(scalar("platform"), scalar(platform), scalar("id"), plainText(id)))
		}
		return n
	case "add":
		n := pair()
		for _, word := range strings.Fields(cell) {
			place := routine.Demand(word).Place()
			if place == "" {
				place = word // told to be no demand when the file is checked
			}
			n.Content = append(n.Content, scalar(place), scalar(word))
		}
		return n
	case "minutes", "strain-rise", "pass", "together", "test-every", "joined", "consent", "since", "target", "public", "hold", "interleave":
		return scalar(cell)
	}
	return plainText(cell)
}

// member puts one row into the list of members.
func (m *merger) member(row Row) {
	id := row.Cells["id"]
	if m.rows[id] > 0 {
		m.wrong(0, row.Line, "each member once", "member %q is there already, on line %d", id, m.rows[id])
		return
	}
	m.rows[id] = row.Line
	n, c := m.find(id), &Change{Member: id}
	if n == nil {
		c.New = true
		n = &yaml.Node{Kind: yaml.MappingNode}
		m.members.Content = append(m.members.Content, n)
		if row.Cells["accounts"] == "" {
			row.Cells["accounts"] = "room:" + id
		}
	}
	m.changes = append(m.changes, c)
	m.fill(n, c, row, memberFields)
}

// fill sets the fields of a mapping from the cells of a row, and notes what is
// another than before.
func (m *merger) fill(n *yaml.Node, c *Change, row Row, fields []string) {
	for _, field := range fields {
		cell, given := row.Cells[field]
		if !given {
			continue
		}
		value, old := nodeOf(field, cell), valueOf(n, field)
		if old != nil && inWords(old) == inWords(value) {
			continue
		}
		what := field + ": " + inWords(value)
		if old != nil {
			what += ", was " + inWords(old)
		}
		c.What = append(c.What, what)
		put(n, field, value)
	}
}

// inWords writes a value on one line, the same however it is laid out in the
// file.
func inWords(n *yaml.Node) string {
	if n.Kind == yaml.ScalarNode {
		return n.Value
	}
	parts := make([]string, len(n.Content))
	for i, c := range n.Content {
		parts[i] = inWords(c)
	}
	return strings.Join(parts, " ")
}

func (m *merger) find(id string) *yaml.Node {
	for _, n := range m.members.Content {
		if v := valueOf(n, "id"); v != nil && v.Value == id {
			return n
		}
	}
	return nil
}

// plans puts plans in the place of those of the members that rows name.
func (m *merger) plans(rows []Row) {
	plans := map[string]*yaml.Node{}
	var order []string
	for _, row := range rows {
		id := row.Cells["member"]
		if m.find(id) == nil {
			m.wrong(1, row.Line, "the id of a member of the studio", "there is no member %q", id)
			continue
		}
		if plans[id] == nil {
			plans[id] = &yaml.Node{Kind: yaml.SequenceNode}
			order = append(order, id)
		}
		entry := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
		m.fill(entry, &Change{}, row, planFields)
		plans[id].Content = append(plans[id].Content, entry)
		m.planRows[id] = append(m.planRows[id], row.Line)
	}
	for _, id := range order {
		n := m.find(id)
		old := valueOf(n, "plan")
		if old != nil && inWords(old) == inWords(plans[id]) {
			continue
		}
		what := fmt.Sprintf("plan: %d studies", len(plans[id].Content))
		if old != nil {
			what += fmt.Sprintf(", was %d", len(old.Content))
		}
		c := m.changeOf(id)
		c.What = append(c.What, what)
		put(n, "plan", plans[id])
	}
}

func (m *merger) changeOf(id string) *Change {
	i := slices.IndexFunc(m.changes, func(c *Change) bool { return c.Member == id })
	if i >= 0 {
		return m.changes[i]
	}
	m.changes = append(m.changes, &Change{Member: id})
	return m.changes[len(m.changes)-1]
}

// wrong records a problem of a row of the table of members (0) or plans (1).
func (m *merger) wrong(table, line int, instead, what string, args ...any) {
	m.problems = append(m.problems, routine.Problem{
		Source: routine.Source{File: m.tables[table], Line: line}, What: fmt.Sprintf(what, args...), Instead: instead,
	})
}

// relocate tells a problem of the new text by the row of the table that it came
// from, if it came from one.
func (m *merger) relocate(p *routine.Problem, data []byte) {
	var doc yaml.Node
	if yaml.Unmarshal(data, &doc) != nil {
		return
	}
	members := valueOf(doc.Content[0], "members")
	i := lastBefore(members.Content, p.Source.Line)
	if i < 0 {
		return
	}
	id := valueOf(members.Content[i], "id").Value
	if plan := valueOf(members.Content[i], "plan"); plan != nil && len(m.planRows[id]) == len(plan.Content) {
		if e := lastBefore(plan.Content, p.Source.Line); e >= 0 {
			p.Source = routine.Source{File: m.tables[1], Line: m.planRows[id][e]}
			return
		}
	}
	if line := m.rows[id]; line > 0 {
		p.Source = routine.Source{File: m.tables[0], Line: line}
	}
}

// lastBefore returns the last of some nodes that begins on a line or before it;
// -1: none.
func lastBefore(nodes []*yaml.Node, line int) int {
	found := -1
	for i, n := range nodes {
		if n.Line <= line {
			found = i
		}
	}
	return found
}
