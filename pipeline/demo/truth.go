package demo

// What is true of the made-up world. Figures are invented; where one follows
// what is known of such fungi, its comment says from where.
const (
	// VisitYear is the season surveyed.
	VisitYear = 2031

	// ClumpingPer100M2 is the negative binomial k of the groups of one
	// population on 100 m2; k grows in proportion to the area.
	ClumpingPer100M2 = 0.45
	// SiteSD is the standard deviation of the logarithm of a site's effect.
	SiteSD = 0.35
	// TrendSpan is how far the density at the first and last place of a
	// systematic layout lies below and above its mean, as a share of the mean;
	// between them it rises in a straight line.
	TrendSpan = 0.6
	// GroupMean is the mean number of fruit bodies in a group, which is a row of finds.
	GroupMean = 1.25

	// PeakDay is the day of the year on which most fruit bodies stand at
	// PeakElevationM, away from roads: 10 May.
	PeakDay = 130.0
	// PeakElevationM is the elevation that PeakDay holds for.
	PeakElevationM = 1000.0
	// DaysPer100M is how much later the peak comes for each 100 m of elevation:
	// 4 days per 400 ft (Hopkins 1920).
	DaysPer100M = 4 / (400 * metresPerFoot) * 100
	// RoadsideLeadDays is how much earlier the flush comes beside a road: one
	// to two weeks (common practice, no source).
	RoadsideLeadDays = 10.0
	// EmergenceSD is the standard deviation, in days, of the day a group comes up
	// at one place, so that nearly all come up within three weeks.
	EmergenceSD = 5.5
	// StandDays is how long a group stands; the crew's visits are never closer,
	// so that no group stands at both.
	StandDays = 10.0

	// LineSigmaM is the scale of the half-normal detection function on lines.
	LineSigmaM = 2.0
	// UndeterminedShare is the share of target finds whose mode the crew does not call.
	UndeterminedShare = 0.10
	// MeanMassG is the mean fresh mass of one target fruit body.
	MeanMassG = 16.0
	// HostDistanceM is the mean distance of a host-associated find from its host.
	HostDistanceM = 1.2
)

// The yearly fall of the densities of morels: a season's density is that of the
// season before times this.
const (
	// SaprotrophicPerYear holds from quillet-severe to bramwold to ostrey.
	SaprotrophicPerYear = 0.30
	// HostAssociatedPerYear holds from quillet-moderate to bramwold to ostrey.
	HostAssociatedPerYear = 0.96
)

// Observer is one of the crew.
type Observer struct {
	Name string
	// Detects is the chance that they see a standing group in a plot or strip
	// in one pass, whoever else searches.
	Detects float64
}

var crew = [...]Observer{{"RT", 0.85}, {"LN", 0.75}, {"OB", 0.80}}

// Host is a tree that host-associated morels live with.
type Host struct {
	Tree string
	// Preference is the chance that a find belongs to one live stem of this
	// host, relative to one live stem of another.
	Preference float64
}

// Hosts returns the hosts, in the order of survey.toml.
func Hosts() []Host {
	var hosts []Host
	for _, s := range species {
		if s.preference > 0 {
			hosts = append(hosts, Host{Tree: s.name, Preference: s.preference})
		}
	}
	return hosts
}

// Targets returns the taxa that the survey estimates.
func Targets() []string { return []string{burnMorel, blackMorel, yellowMorel} }
