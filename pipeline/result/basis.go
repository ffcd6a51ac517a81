package result

// Basis says which searches and finds the rows of a table rest on, beside what
// their grouping columns say. Its zero value is what a density rests on: the finds
// of target taxa on the searches that make the count of a unit by the counting
// rule, in the units that stand for their stratum.
type Basis struct {
	Method   string // of all rows, where no column has it
	Searches bool   // every search of every unit, those along roads and the added ones too
	Units    bool   // every unit too, but those searches alone that make its count
	AnyTaxon bool   // finds of taxa that are not estimated as well
	Earlier  bool   // surveys of former seasons as well
}
