// Package crop estimates what the land carries: fruit bodies and their mass,
// from densities and from the finds that were weighed.
//
// A crop in fruit bodies is a density times the land. A crop in mass needs the
// mass of a fruit body, the ratio of mass to count over the rows that have a
// mass, kind by kind (a taxon of one mode, say). Where the same units give the
// density and the masses, the two are not independent: crowded fruit bodies
// may be small. [Of] takes their covariance in.
package crop
