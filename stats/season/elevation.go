package season

// HopkinsDaysPer100M is the delay of spring by elevation that Hopkins' bioclimatic
// law gives, four days for each 400 ft, in days per 100 m: 3.28.
//
// Reference: Hopkins (1920), Journal of the Washington Academy of Sciences 10:
// 34-40.
const HopkinsDaysPer100M = 4 / (400 * metresPerFoot) * 100

const metresPerFoot = 0.3048 // international foot, exact
