package matrix

import "testing"

func TestPlaceOf(t *testing.T) {
	for _, tt := range []struct {
		channel string
		want    place
	}{
		{"!room:harbour.example", place{room: "!room:harbour.example"}},
		{"!room:harbour.example/$root", place{"!room:harbour.example", "$root"}},
		{"!room:harbour.example/$ro/ot", place{"!room:harbour.example", "$ro/ot"}}, // ids of room version 3 hold slashes
		{"!31hneApxJ_1o-63DmFrpeqnkFfWppnzWso1JvH3ogLM/$root", place{"!31hneApxJ_1o-63DmFrpeqnkFfWppnzWso1JvH3ogLM", "$root"}},
	} {
		got := placeOf(tt.channel)
		if got != tt.want {
			t.Errorf("placeOf(%q) = %v, want %v", tt.channel, got, tt.want)
		}
		if got.String() != tt.channel {
			t.Errorf("placeOf(%q).String() = %q", tt.channel, got)
		}
	}
}
