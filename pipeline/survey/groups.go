package survey

// Group is what several tables of survey.toml are for.
type Group struct {
	Title  string
	About  string   // one sentence for those who look for a setting
	Tables []string // "" = the top of the file
}

// The tables of survey.toml that are not declared as [Keys].
const (
	FilesTable   = "files"
	ColumnsTable = "columns"
	HarvestTable = harvestTable
)

// Groups lists the tables of survey.toml by what they are for, in the order in which
// an empty survey and the page of settings show them.
var Groups = []Group{
	{"The survey", "what was surveyed, and how repeat visits are counted",
		[]string{"", "season", "counting", "taxa", "hosts"}},
	{"Files and headers", "needed where your files or headers have other names than ours",
		[]string{FilesTable, ColumnsTable}},
	{"Checks", "what values are held to beyond what their columns can hold", []string{"check"}},
	{"Densities", "how densities of plots and strips are estimated",
		[]string{"density", "adaptive", SingleUnitStrata}},
	{"Detection", "line transects, and the correction for what observers or passes missed",
		[]string{"lines", "missed"}},
	{"Trees, mode and years since fire", "comparisons of kinds of finds, the use of hosts, and the model of counts",
		[]string{"compare", "selection", "association", "model"}},
	{"The season", "the curve of the flush", []string{"curve"}},
	{"The ground", "classes of the ground that units lie on", []string{"ground"}},
	{"The report", "what crop and harvest are computed from, and which positions are shown", []string{"report"}},
	{"Harvest", "harvests that are compared with the crop", []string{HarvestTable}},
	{"Exports", "what an export says of the data, and which coordinates it generalizes", []string{DatasetTable}},
	{"The next survey", "what ashtally plan works with", []string{"plan"}},
}
