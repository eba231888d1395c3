package reply_test

import (
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// refs are ways to name items of monday, by language; what stands under "" is known in all.
var refs = map[string]map[string][]int{
	"":   {"First Breath": {1}, "first breath": {1}, "Two Steps Up": {2}, "Scales by Thirds": {3}, "Gulls at the Lock": {4}, "gulls": {4}, "Slur Atlas": {2}, "slur atlas": {2}, "Twelve Harbour Pieces": {4}, "Slur Atlas 3": {2}, "#2": {2}, "1 & 2": {1, 2}, "1+3": {1, 3}, "1-3": {1, 2, 3}, "1, 2, 4": {1, 2, 4}, "Eb": {3}, "l14": {3}, "No. 2": {2}, "2 & 4": {2, 4}, "gulls at the lock": {4}},
	"en": {"item 2": {2}, "number 2": {2}, "the slurs": {2}, "slurs": {2}, "the warm-up": {1}, "warmup": {1}, "the etude": {4}, "étude": {4}, "scales": {3}, "the scales": {3}, "line 14": {3}, "line 14-16": {3}, "lines 14 to 16": {3}, "the Eb one": {3}, "E flat": {3}, "Eb major": {3}, "the G minor one": {4}, "G minor": {4}, "the one in Eb": {3}, "first two": {1, 2}, "the first two": {1, 2}, "last two": {3, 4}, "the last two": {3, 4}, "the last one": {4}, "the first one": {1}, "the second one": {2}, "the third one": {3}, "1 and 2": {1, 2}, "1, 2 and 4": {1, 2, 4}, "1 to 3": {1, 2, 3}, "1 through 3": {1, 2, 3}, "items 1 and 2": {1, 2}, "items 2-4": {2, 3, 4}, "numbers 1, 2 and 3": {1, 2, 3}, "slurs and scales": {2, 3}, "the slurs and the etude": {2, 4}, "the warm up and slurs": {1, 2}, "study 5": {4}, "Daily Ground 2": {3}, "daily ground study 2": {3}, "two and three": {2, 3}, "1 and the etude": {1, 4}, "the slurs, the scales and the etude": {2, 3, 4}, "exercise 3": {3}, "ex 3": {3}, "ex. 3": {3}, "the first three": {1, 2, 3}},
	"de": {"Nr. 2": {2}, "Nummer 2": {2}, "die 2": {2}, "die Bindungen": {2}, "Bindungen": {2}, "das Einspielen": {1}, "Einspielen": {1}, "die Etüde": {4}, "Etüde": {4}, "Tonleitern": {3}, "die Tonleitern": {3}, "Zeile 14": {3}, "Zeile 14-16": {3}, "die in Es": {3}, "Es-Dur": {3}, "g-Moll": {4}, "die ersten zwei": {1, 2}, "die ersten beiden": {1, 2}, "die letzten zwei": {3, 4}, "die letzten beiden": {3, 4}, "die letzte": {4}, "die erste": {1}, "die zweite": {2}, "1 und 2": {1, 2}, "1, 2 und 4": {1, 2, 4}, "1 bis 3": {1, 2, 3}, "Bindungen und Tonleitern": {2, 3}, "die Bindungen und die Etüde": {2, 4}, "Übung 3": {3}, "Daily Ground 2": {3}, "Studie 5": {4}, "die ersten drei": {1, 2, 3}, "die 1 und die 3": {1, 3}, "Nr. 1 und 2": {1, 2}},
	"fr": {"n° 2": {2}, "numéro 2": {2}, "la 2": {2}, "le 2": {2}, "les liaisons": {2}, "liaisons": {2}, "l'échauffement": {1}, "échauffement": {1}, "l'étude": {4}, "les gammes": {3}, "gammes": {3}, "ligne 14": {3}, "lignes 14 à 16": {3}, "celle en mi bémol": {3}, "mi bémol": {3}, "sol mineur": {4}, "les deux premières": {1, 2}, "les deux dernières": {3, 4}, "la dernière": {4}, "la première": {1}, "la deuxième": {2}, "1 et 2": {1, 2}, "1, 2 et 4": {1, 2, 4}, "1 à 3": {1, 2, 3}, "les liaisons et les gammes": {2, 3}, "les liaisons et l'étude": {2, 4}, "exercice 3": {3}, "la 1 et la 3": {1, 3}, "les trois premières": {1, 2, 3}, "Daily Ground 2": {3}},
	"es": {"n.º 2": {2}, "número 2": {2}, "la 2": {2}, "el 2": {2}, "las ligaduras": {2}, "ligaduras": {2}, "el calentamiento": {1}, "calentamiento": {1}, "el estudio": {4}, "mi estudio": {4}, "las escalas": {3}, "escalas": {3}, "línea 14": {3}, "líneas 14 a 16": {3}, "la de mi bemol": {3}, "mi bemol": {3}, "sol menor": {4}, "las dos primeras": {1, 2}, "los dos primeros": {1, 2}, "las dos últimas": {3, 4}, "la última": {4}, "la primera": {1}, "la segunda": {2}, "1 y 2": {1, 2}, "1, 2 y 4": {1, 2, 4}, "del 1 al 3": {1, 2, 3}, "1 a 3": {1, 2, 3}, "las ligaduras y las escalas": {2, 3}, "las ligaduras y el estudio": {2, 4}, "ejercicio 3": {3}, "la 1 y la 3": {1, 3}, "las tres primeras": {1, 2, 3}, "Daily Ground 2": {3}},
}

// TestRefs names items in many ways, in many places of a message.
func TestRefs(t *testing.T) {
	r := newReader(t)
	set := decode(t, monday)
	for lang, g := range grammars {
		for ref, items := range known(refs, lang) {
			of := func(o routine.Outcome) reply.Reading {
				want := reply.Reading{Kind: reply.Report, Day: today}
				for _, n := range items {
					want.Items = append(want.Items, reply.Item{N: n, Outcome: o})
				}
				return want
			}
			for _, o := range []routine.Outcome{routine.Clean, routine.Shaky, routine.Skipped} {
				for _, word := range g.after[o] {
					readsAs(t, r, set, lang, ref+" "+word, of(o))
				}
				readsAs(t, r, set, lang, ref+": "+g.after[o][0], of(o))
			}
			for _, o := range []routine.Outcome{routine.Skipped, routine.Done, routine.Missed} {
				for _, word := range g.before[o] {
					readsAs(t, r, set, lang, beforeRef(word, ref), of(o))
				}
			}
			only := reply.Reading{Kind: reply.Report, Day: today, All: reply.Partly}
			fill(&only, 4, items, routine.Done, routine.Skipped)
			for _, word := range g.only {
				readsAs(t, r, set, lang, beforeRef(word, ref), only)
			}
			but := reply.Reading{Kind: reply.Report, Day: today, All: reply.Partly}
			fill(&but, 4, items, routine.Skipped, routine.Done)
			for _, word := range g.except {
				readsAs(t, r, set, lang, beforeRef(word, ref), but)
			}
		}
	}
}

// beforeRef puts a word before the name of items, without its article if they have one.
func beforeRef(word, ref string) string {
	if ref[0] > '9' || ref[0] == '#' {
		for _, article := range []string{" la", " die"} {
			word = strings.TrimSuffix(word, article)
		}
	}
	return word + " " + ref
}
