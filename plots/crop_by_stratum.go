package plots

// CropByStratum shows what each stratum carries by each method, and the land as
// a whole set apart below. It is drawn as [DensityByStratum] is; Unit is that of
// the crop, e.g. "kg of fruit bodies".
type CropByStratum DensityByStratum

// Figure draws the crops. It returns an error where there are none or one
// cannot be true.
func (c CropByStratum) Figure() (Figure, error) {
	return DensityByStratum(c).figure("Crop", "crop-by-stratum", "Crop by stratum")
}
