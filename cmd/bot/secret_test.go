package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
)

// Secrets come from the environment or from a file that nobody else can read.
func TestSecretsAreNotOnTheCommandLine(t *testing.T) {
	for _, flag := range []string{"--password=long enough 7", "--discord-token=t", "--matrix-password=p", "--matrix-token=t", "--matrix-recovery-key=k"} {
		_, err := bot(t, "", "run", "nowhere", flag)
		name, value, _ := strings.Cut(flag, "=")
		if err == nil || !strings.Contains(err.Error(), name) || !strings.Contains(err.Error(), "LEDGERLINE_") {
			t.Errorf("%s on the command line: %v", name, err)
		} else if strings.Contains(err.Error(), value+" ") && len(value) > 1 {
			t.Errorf("the error tells the secret: %v", err)
		}
	}
	t.Setenv("LEDGERLINE_PASSWORD", "long enough 7")
	if _, err := bot(t, "", "run", "nowhere"); err == nil || !strings.Contains(err.Error(), "studio.yaml") {
		t.Errorf("a password in the environment: %v", err)
	}
}

func TestSecretsInAFileOfSettings(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no permission bits")
	}
	file := filepath.Join(t.TempDir(), "settings.yaml")
	if err := os.WriteFile(file, []byte("password: long enough 7\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, mode := range []os.FileMode{0o644, 0o640, 0o604, 0o660} {
		if err := os.Chmod(file, mode); err != nil {
			t.Fatal(err)
		}
		if _, err := bot(t, "", "run", "nowhere", "--config", file); err == nil || !strings.Contains(err.Error(), "chmod 600 "+file) {
			t.Errorf("a secret in a file of mode %v: %v", mode, err)
		}
	}
	if err := os.Chmod(file, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := bot(t, "", "run", "nowhere", "--config", file); err == nil || !strings.Contains(err.Error(), "studio.yaml") {
		t.Errorf("a secret in a file of the owner's alone: %v", err)
	}
}

// statement matches what begins like SQL.
var statement = regexp.MustCompile(`(?is)^\s*(select|insert|update|delete|create|drop|alter|pragma|vacuum|attach|with)\s`)

// TestStatementsHaveNoValuesInThem reads the whole program: where a statement of
// SQL is put together with something else, by + or by a format, a value could get
// into it. The files that may are those that put in names of tables, which come
// from the program or the schema.
func TestStatementsHaveNoValuesInThem(t *testing.T) {
	allowed := map[string]bool{"adapters/database/sqlite/backup.go": true, "adapters/matrix/keys_goolm.go": true,
		"adapters/database/sqlite/copy.go": true, "adapters/database/postgres/load.go": true,
		"adapters/database/postgres/postgrestest/server.go": true}
	root, found := filepath.Join("..", ".."), 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files := token.NewFileSet()
		file, err := parser.ParseFile(files, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		name, _ := filepath.Rel(root, path)
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.BasicLit:
				if isStatement(n) {
					found++
				}
			case *ast.BinaryExpr:
				if (isStatement(n.X) || isStatement(n.Y)) && !allowed[filepath.ToSlash(name)] {
					t.Errorf("%s: a statement is put together with something", files.Position(n.Pos()))
				}
			case *ast.CallExpr:
				if fun, ok := n.Fun.(*ast.SelectorExpr); ok && strings.HasSuffix(fun.Sel.Name, "printf") && len(n.Args) > 0 && isStatement(n.Args[0]) {
					t.Errorf("%s: a statement is made by a format", files.Position(n.Pos()))
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if found < 60 {
		t.Errorf("only %d statements were found", found)
	}
}

func isStatement(e ast.Expr) bool {
	lit, ok := e.(*ast.BasicLit)
	return ok && lit.Kind == token.STRING && statement.MatchString(strings.Trim(lit.Value, "`\""))
}
