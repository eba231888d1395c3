// Package harbour holds Harbour Row Brass, the invented studio of the demo: its
// books, its people and what each of them is working on.
package harbour

import "embed"

// Files holds the studio as its files describe it: studio.yaml, challenges.yaml, and the folder
// "books" with one file for each book.
//
//go:embed books studio.yaml challenges.yaml
var Files embed.FS
