package words

import "testing"

func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		New()
	}
}

func BenchmarkSay(b *testing.B) {
	v := New().In("de")
	b.Run("plain", func(b *testing.B) {
		for b.Loop() {
			v.Say("reminder", nil)
		}
	})
	b.Run("counted", func(b *testing.B) {
		for b.Loop() {
			v.Count("week.so-far", 5, With{"kept": 3})
		}
	})
}
