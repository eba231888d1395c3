package matrix

import "strings"

// cut parts text into pieces that fit, between lines if it can, else between
// words. Only a word that does not fit by itself is cut inside.
func cut(text string, fits func(string) bool) []string {
	if fits(text) {
		return []string{text}
	}
	return gather(strings.Split(text, "\n"), "\n", fits, func(line string) []string {
		return gather(strings.Split(line, " "), " ", fits, func(word string) []string {
			return gather(strings.Split(word, ""), "", fits, func(letter string) []string { return []string{letter} })
		})
	})
}

// gather joins neighbours with sep into pieces that fit, as long as they can be.
// One that does not fit by itself is cut by finer.
func gather(all []string, sep string, fits func(string) bool, finer func(string) []string) []string {
	var pieces []string
	for len(all) > 0 {
		n := most(len(all), func(n int) bool { return fits(strings.Join(all[:n], sep)) })
		if n == 0 {
			pieces = append(pieces, finer(all[0])...)
			n = 1
		} else {
			pieces = append(pieces, strings.Join(all[:n], sep))
		}
		all = all[n:]
	}
	return pieces
}

// most returns the largest n up to limit for which ok holds, where ok holds for
// all smaller ones; 0 if for none.
func most(limit int, ok func(int) bool) int {
	low, high := 0, limit
	for low < high {
		if middle := (low + high + 1) / 2; ok(middle) {
			low = middle
		} else {
			high = middle - 1
		}
	}
	return low
}
