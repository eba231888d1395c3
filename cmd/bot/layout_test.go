package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "ledgerline/"

// tops are the folders at the top of the project that may hold Go packages.
var tops = []string{"adapters", "cmd", "migrations", "routine", "streaks", "studio"}

// TestImportsPointInward fails on an import that points outward, or sideways
// from one adapter to another, and on a package where none belongs. Tests may
// import what they like.
func TestImportsPointInward(t *testing.T) {
	root := filepath.Join("..", "..")
	found := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if name := d.Name(); d.IsDir() && path != root && (strings.HasPrefix(name, ".") || name == "testdata") {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		rel, _ := filepath.Rel(root, path)
		pkg := filepath.ToSlash(filepath.Dir(rel))
		found++
		if top, _, _ := strings.Cut(pkg, "/"); !slices.Contains(tops, top) {
			t.Errorf("%s: no Go package belongs in %q; the tops are %v", rel, pkg, tops)
		}
		for _, imp := range importsOf(t, path) {
			if why := forbidden(pkg, imp); why != "" {
				t.Errorf("%s imports %s: %s", rel, imp, why)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if found < 20 {
		t.Fatalf("only %d files were looked at under %s", found, root)
	}
}

func importsOf(t *testing.T, path string) []string {
	t.Helper()
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	file, err := parser.ParseFile(token.NewFileSet(), path, src, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	var imports []string
	for _, spec := range file.Imports {
		imp, _ := strconv.Unquote(spec.Path.Value)
		imports = append(imports, imp)
	}
	return imports
}

// forbidden says why a package may not import another; "" if it may.
func forbidden(pkg, imp string) string {
	own, inside := strings.CutPrefix(imp, module)
	first, _, _ := strings.Cut(imp, "/")
	outside := !inside && strings.Contains(first, ".")
	top, _, _ := strings.Cut(pkg, "/")
	switch top {
	case "routine", "streaks":
		switch {
		case outside && !strings.HasPrefix(imp, "gonum.org/v1/gonum/"):
			return "the domain knows only the standard library and gonum"
		case inside && own != "routine" && !strings.HasPrefix(own+"/", pkg+"/") && !strings.HasPrefix(pkg+"/", own+"/"):
			return "the domain shares the words of package routine and nothing else"
		}
		if slices.Contains([]string{"os", "net", "net/http", "database/sql", "time/tzdata"}, imp) {
			return "the domain does no input or output"
		}
	case "studio":
		if inside && !hasTop(own, "routine", "streaks", "studio") {
			return "the application knows the domain and itself"
		}
	case "adapters":
		if inside && !hasTop(own, "routine", "streaks", "studio", "migrations") && !strings.HasPrefix(own+"/", adapter(pkg)+"/") {
			return "an adapter knows the application and the domain, and no other adapter"
		}
	case "migrations":
		if inside {
			return "the migrations know nothing"
		}
	}
	return ""
}

func hasTop(own string, tops ...string) bool {
	top, _, _ := strings.Cut(own, "/")
	return slices.Contains(tops, top)
}

// adapter returns the adapter that a package below adapters belongs to.
func adapter(pkg string) string {
	parts := strings.SplitN(pkg, "/", 3)
	return strings.Join(parts[:min(2, len(parts))], "/")
}

func TestForbiddenFindsEachWrongArrow(t *testing.T) {
	for _, tt := range []struct {
		pkg, imp string
		wrong    bool
	}{
		{"routine", "gonum.org/v1/gonum/stat", false},
		{"routine", "github.com/robfig/cron/v3", true},
		{"routine", "ledgerline/streaks", true},
		{"routine", "os", true},
		{"routine/reply", "ledgerline/routine", false},
		{"routine/reply", "ledgerline/studio", true},
		{"streaks", "ledgerline/routine", false},
		{"streaks", "ledgerline/routine/reply", true},
		{"streaks/forecast", "ledgerline/streaks", false},
		{"studio", "ledgerline/streaks", false},
		{"studio", "ledgerline/adapters/room", true},
		{"studio", "ledgerline/cmd/bot", true},
		{"adapters/room", "ledgerline/studio", false},
		{"adapters/room", "ledgerline/adapters/database/sqlite", true},
		{"adapters/room/page", "ledgerline/adapters/room", false},
		{"adapters/sqlite", "ledgerline/migrations", false},
		{"migrations", "ledgerline/studio", true},
		{"cmd/bot", "ledgerline/adapters/room", false},
	} {
		if got := forbidden(tt.pkg, tt.imp); (got != "") != tt.wrong {
			t.Errorf("forbidden(%s, %s) = %q, want wrong %t", tt.pkg, tt.imp, got, tt.wrong)
		}
	}
}
