package plausible

import (
	"testing"
	"time"
)

func day(text string) int32 {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return int32(t.Unix() / 86400)
}

func TestLoneDays(t *testing.T) {
	season := []int32{day("2034-05-12"), day("2034-05-12"), day("2034-05-13"), day("2034-05-26"), day("2034-05-27"), day("2034-05-26")}
	for _, c := range []struct{ slip, meant, how string }{
		{"2043-05-12", "2034-05-12", "the year 2034"},
		{"2034-12-05", "2034-05-12", "day and month exchanged"},
		{"2034-07-26", "2034-05-26", "another month"},
		{"2031-12-05", "2034-05-12", "the year 2034, day and month exchanged"},
		{"2034-09-19", "", ""},
	} {
		lone := LoneDays(append(season[:len(season):len(season)], day(c.slip)))
		if len(lone) != 1 || lone[0].Index != 6 || lone[0].How != c.how || c.meant != "" && lone[0].Meant != day(c.meant) {
			t.Errorf("%s: %+v", c.slip, lone)
		}
	}
	if lone := LoneDays(season); len(lone) > 0 {
		t.Errorf("%v are lone", lone)
	}
	two := append([]int32{}, season...)
	for _, d := range season {
		two = append(two, d+365)
	}
	if lone := LoneDays(two); len(lone) > 0 {
		t.Errorf("two seasons: %v are lone", lone)
	}
	var scattered []int32
	for i := range int32(12) {
		scattered = append(scattered, season[0]+60*i)
	}
	if lone := LoneDays(scattered); len(lone) > 0 {
		t.Errorf("a visit every two months: %v are lone", lone)
	}
	if lone := LoneDays(season[:3]); len(lone) > 0 {
		t.Error("three days are too few")
	}
}
