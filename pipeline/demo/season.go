package demo

import "gonum.org/v1/gonum/stat/distuv"

// emergence returns the distribution of the day on which a group comes up in
// the unit. Groups that stand [StandDays] stand in greatest number half that
// time after the mean.
func (u *unit) emergence() distuv.Normal {
	return distuv.Normal{Mu: peakDay(u.elevationM, u.roadside) - StandDays/2, Sigma: EmergenceSD, Src: u.rng}
}

// standing returns the share of the season's groups that stand on a day.
func (u *unit) standing(day int) float64 {
	up := u.emergence()
	return up.CDF(float64(day)) - up.CDF(float64(day)-StandDays)
}

// seenShare returns the share of the season's groups that stand on one of the
// visits; none stands on both.
func (u *unit) seenShare() float64 {
	share := 0.0
	for _, day := range u.days {
		share += u.standing(day)
	}
	return share
}

// visitOf returns which visit, from 0, finds a group that came up on the given
// day still standing.
func (u *unit) visitOf(emerged float64) (visit int, stands bool) {
	for v, day := range u.days {
		if since := float64(day) - emerged; since >= 0 && since < StandDays {
			return v, true
		}
	}
	return 0, false
}
