package demo

import "ashtally/pipeline/survey"

// population is the fungi of one way of life.
type population struct {
	mode   string // the true one; "" where the crew does not ask
	target bool
	taxa   []string
	shares []float64 // of each taxon
}

// The populations, by their place in the list below.
const (
	saprotrophic = iota
	hostAssociated
	falseMorels
	cups
	populations int = iota
)

const (
	burnMorel   = "burn morel"
	blackMorel  = "black morel"
	yellowMorel = "yellow morel"
	falseMorel  = "false morel"
	cupFungus   = "violet cup"
)

var fungi = [populations]population{
	saprotrophic: {
		mode: survey.Saprotrophic, target: true,
		taxa: []string{burnMorel, blackMorel}, shares: []float64{0.8, 0.2},
	},
	hostAssociated: {
		mode: survey.HostAssociated, target: true,
		taxa: []string{blackMorel, yellowMorel}, shares: []float64{0.45, 0.55},
	},
	falseMorels: {taxa: []string{falseMorel}, shares: []float64{1}},
	cups:        {taxa: []string{cupFungus}, shares: []float64{1}},
}
