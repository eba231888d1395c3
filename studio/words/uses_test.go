package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A use is one place in the code that says a message.
type use struct {
	at     string
	id     string
	prefix bool     // the id goes on with something the code computes
	counts bool     // it is said with a number
	names  []string // of the values given; nil if that can't be told
}

// TestMessagesAreUsedAsTheyAre reads the whole program: every message that the
// code says is there and is given the values it has placeholders for, and every
// message there is is said by some code.
func TestMessagesAreUsedAsTheyAre(t *testing.T) {
	x, uses := New(), usesOf(t, filepath.Join("..", ".."))
	uses = append(uses, usesOnPages(t, filepath.Join("..", "..", "adapters", "room", "page"))...)
	said := map[string]bool{}
	for _, u := range uses {
		for _, fault := range u.faults(x) {
			t.Errorf("%s: %s", u.at, fault)
		}
		for _, id := range x.IDs() {
			if id == u.id || u.prefix && strings.HasPrefix(id, u.id) {
				said[id] = true
			}
		}
	}
	for _, id := range x.IDs() {
		if !said[id] {
			t.Errorf("nothing says %s", id)
		}
	}
	if len(uses) < 200 {
		t.Errorf("only %d uses were found", len(uses))
	}
}

func (u *use) faults(x *Lexicon) (faults []string) {
	if u.prefix {
		if !slices.ContainsFunc(x.IDs(), func(id string) bool { return strings.HasPrefix(id, u.id) }) {
			return []string{"no message begins with " + u.id}
		}
		return nil
	}
	m := x.messages[English][u.id]
	if m == nil {
		return []string{"there is no message " + u.id}
	}
	if u.counts != counts(m) && !slices.Contains(u.names, "n") {
		faults = append(faults, u.id+" is counted by one of the two, the code or its text")
	}
	if u.names == nil {
		return faults
	}
	for _, name := range names(m.Other) {
		if !slices.Contains(u.names, name) && !(u.counts && name == "n") && !u.toldByKeep(name) {
			faults = append(faults, u.id+" is not told its "+name)
		}
	}
	for _, name := range u.names {
		if !slices.Contains(names(m.Other), name) && name != "n" {
			faults = append(faults, u.id+" has no placeholder "+name)
		}
	}
	return faults
}

// toldByKeep reports whether turn.keep tells a value itself.
func (u *use) toldByKeep(name string) bool {
	return strings.HasPrefix(u.at, "keep ") && (name == "name" || name == "study")
}

// sayers are the functions that say a message, with the place of its id and of
// its values among the arguments.
var sayers = map[string][2]int{
	"Say": {0, 1}, "Count": {0, 2}, "usage": {0, 1}, "answered": {0, 1}, "done": {1, 2}, "keep": {1, 2}, "date": {0, -1}, "say": {0, 1}, "means": {1, -1}, "fail": {1, 2},
}

// usesOf finds all uses in the code below root that is not a test.
func usesOf(t *testing.T, root string) (uses []use) {
	t.Helper()
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files := token.NewFileSet()
		file, err := parser.ParseFile(files, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if u, ok := useOf(n); ok {
					u.at += files.Position(n.Pos()).String()
					uses = append(uses, u)
				}
			case *ast.BasicLit:
				if id, ok := text(n); ok && platformID.MatchString(id) {
					uses = append(uses, use{at: files.Position(n.Pos()).String(), id: id})
				}
			case *ast.CompositeLit:
				if u, ok := phraseOf(n); ok {
					u.at = files.Position(n.Pos()).String()
					uses = append(uses, u)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return uses
}

// platformID is an id that a chat looks up among those of its platform.
var platformID = regexp.MustCompile(`^(?:discord|matrix)\.[a-z-]+$`)

var (
	idOnPage    = regexp.MustCompile(`"((?:room\.|role\.|picture-in-words)[a-z.-]*)"( \+)?`)
	countOnPage = regexp.MustCompile(`count\($`)
)

// usesOnPages finds the ids in the files of a page, which are written out there.
func usesOnPages(t *testing.T, dir string) (uses []use) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range idOnPage.FindAllSubmatchIndex(data, -1) {
			uses = append(uses, use{
				at: name, id: string(data[m[2]:m[3]]), prefix: m[4] > 0, counts: countOnPage.Match(data[:m[0]]),
			})
		}
	}
	return uses
}

// useOf reads a call of one of the sayers with an id in it.
func useOf(call *ast.CallExpr) (u use, ok bool) {
	name := nameOf(call.Fun)
	places, is := sayers[name]
	if name == "word" && len(call.Args) == 2 { // of a type and a constant
		id, ok := text(call.Args[0])
		return use{id: id + ".", prefix: true}, ok
	}
	if name == "Forms" && len(call.Args) > 0 { // of ids that begin so
		id, ok := text(call.Args[0])
		return use{id: id, prefix: true}, ok
	}
	if !is || len(call.Args) <= places[0] {
		return u, false
	}
	arg := call.Args[places[0]]
	if sum, isSum := arg.(*ast.BinaryExpr); isSum {
		for left, again := sum.X.(*ast.BinaryExpr); again; left, again = sum.X.(*ast.BinaryExpr) {
			sum = left
		}
		arg, u.prefix = sum.X, true
	}
	if u.id, ok = text(arg); !ok {
		return u, false
	}
	u.counts = name == "Count"
	if name == "keep" {
		u.at = "keep "
	}
	if places[1] > 0 && len(call.Args) > places[1] {
		u.names = namesIn(call.Args[places[1]])
	}
	return u, u.id != "" && !strings.Contains(u.id, " ")
}

// phraseOf reads a Phrase that is written out.
func phraseOf(lit *ast.CompositeLit) (u use, ok bool) {
	if nameOf(lit.Type) != "Phrase" {
		return u, false
	}
	for _, e := range lit.Elts {
		pair, _ := e.(*ast.KeyValueExpr)
		if pair == nil {
			continue
		}
		switch nameOf(pair.Key) {
		case "ID":
			u.id, ok = text(pair.Value)
		case "With":
			u.names = namesIn(pair.Value)
		}
	}
	return u, ok
}

// namesIn returns the names in a literal of values; nil if it is none.
func namesIn(e ast.Expr) []string {
	if nameOf(e) == "nil" {
		return []string{}
	}
	lit, is := e.(*ast.CompositeLit)
	if !is {
		return nil
	}
	names := []string{}
	for _, el := range lit.Elts {
		if pair, is := el.(*ast.KeyValueExpr); is {
			name, _ := text(pair.Key)
			names = append(names, name)
		}
	}
	return names
}

func nameOf(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return e.Sel.Name
	}
	return ""
}

func text(e ast.Expr) (string, bool) {
	lit, is := e.(*ast.BasicLit)
	if !is || lit.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(lit.Value)
	return s, err == nil
}

// TestUsesFindFaults checks that each kind of fault is found.
func TestUsesFindFaults(t *testing.T) {
	x := New()
	x.messages[English] = maps.Clone(x.messages[English])
	for _, tt := range []struct {
		use  use
		want string
	}{
		{use{id: "no.such"}, "there is no message no.such"},
		{use{id: "no.such.", prefix: true}, "no message begins with no.such."},
		{use{id: "tell.done", names: []string{}}, "tell.done is not told its name"},
		{use{id: "tell.done", names: []string{"name", "day"}}, "tell.done has no placeholder day"},
		{use{id: "week.so-far", names: []string{"kept"}}, "week.so-far is counted by one of the two, the code or its text"},
		{use{id: "tell.done", names: []string{"name"}}, ""},
	} {
		if got := strings.Join(tt.use.faults(x), "; "); got != tt.want && !strings.HasPrefix(got, tt.want+";") {
			t.Errorf("%+v: %q, want %q", tt.use, got, tt.want)
		}
	}
}
