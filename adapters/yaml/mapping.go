package yaml

import (
	"encoding"
	"math"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

// A mapping is a set of fields with their values.
type mapping struct {
	file   *file
	node   *yaml.Node
	what   string // such as "pass"
	fields map[string]field
}

type field struct {
	key, value *yaml.Node
}

// mapping reads a node as a mapping with known fields, of which those before
// the "|" must be there. It reports unknown and doubled fields.
func (f *file) mapping(n *yaml.Node, what string, known ...string) (mapping, bool) {
	m := mapping{file: f, node: n, what: what, fields: map[string]field{}}
	if n.Kind != yaml.MappingNode {
		f.wrong(n, what, "its fields, each as name: value", "%s expected here, but this is %s", an(what), kindOf(n))
		return m, false
	}
	bar := slices.Index(known, "|")
	required := known[:bar]
	known = slices.Concat(required, known[bar+1:])
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		first, twice := m.fields[key.Value]
		switch {
		case !slices.Contains(known, key.Value) || key.Kind != yaml.ScalarNode:
			f.wrong(key, key.Value, instead(key.Value, known), "%s has no field %q", an(what), key.Value)
		case twice:
			f.wrong(key, key.Value, "it once", "%s is there already, on line %d", key.Value, first.key.Line)
		default:
			m.fields[key.Value] = field{key, value}
		}
	}
	for _, name := range required {
		if !m.has(name) {
			f.wrong(n, name, name+": and its value", "the %s has no %s", what, name)
		}
	}
	f.mappings[n.Line] = append(f.mappings[n.Line], m)
	return m, true
}

// instead says what to write for an unknown field: the known one that is
// nearest, if any is near, or all of them.
func instead(name string, known []string) string {
	nearest, best := "", len(name)/2+1
	for _, k := range known {
		if d := distance(strings.ToLower(name), k); d < best {
			nearest, best = k, d
		}
	}
	if nearest != "" {
		return nearest
	}
	return "one of " + strings.Join(known, ", ")
}

// distance is the number of letters to insert, delete or change (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

func an(noun string) string {
	if strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

func kindOf(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.Kind == yaml.MappingNode:
		return "fields"
	case n.Value == "":
		return "empty"
	}
	return strconv.Quote(clip(n.Value))
}

// clip shortens what is quoted in a message.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

func (m mapping) has(name string) bool { _, ok := m.fields[name]; return ok }

// wrong records a problem of a field.
func (m mapping) wrong(name, instead, what string, args ...any) {
	n := m.node
	if f, ok := m.fields[name]; ok {
		n = f.key
	}
	m.file.wrong(n, name, instead, what, args...)
}

// find returns the key of a field, of the mapping itself or of one inside it.
func (m mapping) find(name string) *yaml.Node {
	if f, ok := m.fields[name]; ok {
		return f.key
	}
	for _, f := range m.fields {
		if f.value.Kind != yaml.MappingNode {
			continue
		}
		for i := 0; i+1 < len(f.value.Content); i += 2 {
			if key := f.value.Content[i]; key.Value == name {
				return key
			}
		}
	}
	return nil
}

// text returns a field that is one word or one line of text.
func (m mapping) text(name string) string {
	f, ok := m.fields[name]
	if !ok {
		return ""
	}
	if f.value.Kind != yaml.ScalarNode || f.value.Value == "" {
		m.wrong(name, name+": and a word or a line of text", "%s is %s", name, kindOf(f.value))
		return ""
	}
	return f.value.Value
}

// number returns a field that is a whole number, or otherwise if it is left
// out.
func (m mapping) number(name string, otherwise int) int {
	f, ok := m.fields[name]
	if !ok {
		return otherwise
	}
	n, err := strconv.Atoi(f.value.Value)
	if err != nil || f.value.Kind != yaml.ScalarNode || n < math.MinInt32 || n > math.MaxInt32 {
		m.wrong(name, "a whole number", "%s is %s", name, kindOf(f.value))
		return otherwise
	}
	return n
}

// share returns a field that is a fraction, or otherwise if it is left out.
func (m mapping) share(name string, otherwise float64) float64 {
	f, ok := m.fields[name]
	if !ok {
		return otherwise
	}
	x, err := strconv.ParseFloat(f.value.Value, 64)
	if err != nil || f.value.Kind != yaml.ScalarNode {
		m.wrong(name, "a number above 0 and at most 1, for example 0.8", "%s is %s", name, kindOf(f.value))
		return otherwise
	}
	return x
}

// yes returns a field that is true or false; left out, it is false.
func (m mapping) yes(name string) bool {
	f, ok := m.fields[name]
	if !ok {
		return false
	}
	b, err := strconv.ParseBool(f.value.Value)
	if err != nil || f.value.Tag != "!!bool" {
		m.wrong(name, name+": true or "+name+": false", "%s is %s", name, kindOf(f.value))
	}
	return b
}

// value reads a field that says itself how it is written, such as a tempo. An
// example shows one.
func (m mapping) value(name, example string, into encoding.TextUnmarshaler) {
	f, ok := m.fields[name]
	if !ok {
		return
	}
	if f.value.Kind != yaml.ScalarNode || f.value.Value == "" {
		m.wrong(name, name+": "+example, "%s is %s", name, kindOf(f.value))
		return
	}
	m.file.value(f.value, name, example, into)
}

// value reads a node that says itself how it is written. The errors of package
// routine are of the form "what is wrong: write this".
func (f *file) value(n *yaml.Node, name, example string, into encoding.TextUnmarshaler) {
	err := into.UnmarshalText([]byte(n.Value))
	if err == nil {
		return
	}
	what, correct, ok := strings.Cut(err.Error(), ": write ")
	if !ok {
		correct = name + ": " + example
	}
	if strings.HasSuffix(what, `"`) {
		what += " cannot be read"
	}
	f.wrong(n, name, correct, "%s", what)
}

// items returns the entries of a field that is a list.
func (m mapping) items(name string) []*yaml.Node {
	f, ok := m.fields[name]
	if !ok {
		return nil
	}
	if f.value.Kind != yaml.SequenceNode {
		m.wrong(name, name+": [ … ], or one entry on each line after \"- \"", "%s is %s, not a list", name, kindOf(f.value))
		return nil
	}
	return f.value.Content
}

// each reads the entries of a field that is a list. If one cannot be read, the
// list is not judged as a whole.
func each[T any](m mapping, name string, read func(*yaml.Node) (T, bool)) []T {
	var list []T
	for _, n := range m.items(name) {
		if x, ok := read(n); ok {
			list = append(list, x)
		} else {
			m.silence(name)
		}
	}
	return list
}

// silence keeps fields from being judged.
func (m mapping) silence(names ...string) {
	for _, name := range names {
		m.file.silent[place{m.file.locate(m.node.Line, name), name}] = true
	}
}

// values reads the entries of a field that is a list of things that say
// themselves how they are written. If one cannot be read, it returns none.
func values[T any, P interface {
	*T
	encoding.TextUnmarshaler
}](m mapping, name, example string) []T {
	var list []T
	before := len(m.file.problems)
	for _, n := range m.words(name) {
		var x T
		m.file.value(n, name, example, P(&x))
		list = append(list, x)
	}
	if len(m.file.problems) > before {
		return nil
	}
	return list
}

// words returns the entries of a field that is a list of words.
func (m mapping) words(name string) []*yaml.Node {
	items := m.items(name)
	for _, n := range items {
		if n.Kind != yaml.ScalarNode || n.Value == "" {
			m.file.wrong(n, name, "words or numbers", "an entry of %s is %s", name, kindOf(n))
			return nil
		}
	}
	return items
}

// numbers returns a field that is a list of whole numbers and runs of them:
// [1, 4-6].
func (m mapping) numbers(name string) []int {
	var list []int
	for _, n := range m.words(name) {
		from, to, isRun := strings.Cut(n.Value, "-")
		if !isRun {
			to = from
		}
		low, err1 := strconv.Atoi(from)
		high, err2 := strconv.Atoi(to)
		if err1 != nil || err2 != nil || low > high || high-low > 1000 {
			m.file.wrong(n, name, "numbers and runs of numbers, for example [1, 4-6]", "an entry of %s is %s", name, kindOf(n))
			continue
		}
		for i := low; i <= high; i++ {
			list = append(list, i)
		}
	}
	return list
}
