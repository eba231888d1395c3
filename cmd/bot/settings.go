package main

import (
	"fmt"
	"io"
	"maps"
	"os"
	"runtime"
	"slices"
	"strings"

	"github.com/alecthomas/kong"
	"go.yaml.in/yaml/v3"
)

// settings reads a file of settings: the flags of a command by name, such as
// "database: studio.db". What the command line or the environment says goes
// before it.
func settings(r io.Reader) (kong.Resolver, error) {
	values := map[string]any{}
	if err := yaml.NewDecoder(r).Decode(&values); err != nil && err != io.EOF {
		return nil, fmt.Errorf("the settings are no YAML (%w); write one setting on each line, for example listen: 127.0.0.1:8080", err)
	}
	file := &settingsFile{values: values}
	if f, ok := r.(*os.File); ok {
		info, err := f.Stat()
		if err != nil {
			return nil, fmt.Errorf("looking at the file of settings: %w", err)
		}
		file.name, file.open = f.Name(), runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0
	}
	return file, nil
}

type settingsFile struct {
	values map[string]any
	name   string
	open   bool // others than its owner may read it or write to it
}

// Validate fails on a setting that no command has, and on a secret in a file that
// others can read.
func (f *settingsFile) Validate(app *kong.Application) error {
	known := map[string]bool{}
	for _, command := range app.Leaves(false) {
		for _, flag := range command.Flags {
			known[flag.Name] = true
			if _, set := f.values[flag.Name]; set && f.open && isSecret(flag) {
				return fmt.Errorf("%s holds %s, which is secret, and others can read the file: chmod 600 %[1]s", f.name, flag.Name)
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(f.values)) {
		if !known[name] {
			names := slices.Sorted(maps.Keys(known))
			return fmt.Errorf("there is no setting %q; write one of: %s", name, strings.Join(names, ", "))
		}
	}
	return nil
}

// Resolve gives a flag its value from the file, if it has one there.
func (f *settingsFile) Resolve(_ *kong.Context, _ *kong.Path, flag *kong.Flag) (any, error) {
	value, ok := f.values[flag.Name]
	if !ok {
		return nil, nil
	}
	return fmt.Sprint(value), nil
}

// isSecret reports whether a flag holds a password, a token or a key.
func isSecret(flag *kong.Flag) bool { return flag.Tag.Has("secret") }

// checkSecrets fails if a secret stands on the command line, where every user of
// the machine can read it.
func checkSecrets(k *kong.Context) error {
	for _, p := range k.Path {
		if p.Flag != nil && !p.Resolved && isSecret(p.Flag) {
			return fmt.Errorf("--%s is secret, and a command line can be read by everybody on the machine: set it in the environment as %s, or in a file of settings", p.Flag.Name, p.Flag.Envs[0])
		}
	}
	return nil
}
