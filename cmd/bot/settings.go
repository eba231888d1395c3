package main

import (
	"fmt"
	"io"
	"maps"
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
	return &settingsFile{values}, nil
}

type settingsFile struct{ values map[string]any }

// Validate fails on a setting that no command has.
func (f *settingsFile) Validate(app *kong.Application) error {
	known := map[string]bool{}
	for _, command := range app.Leaves(false) {
		for _, flag := range command.Flags {
			known[flag.Name] = true
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
