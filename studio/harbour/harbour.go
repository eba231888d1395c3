// Package harbour holds Harbour Row Brass, the invented studio of the demo: its
// books, its people and what each of them is working on.
package harbour

import "embed"

// Files holds the folder "books", with one file for each book of the studio.
//
//go:embed books
var Files embed.FS
