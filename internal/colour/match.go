package colour

import (
	"math"
	"slices"
)

// Recipe is a mixture of dyes that comes near a wanted colour.
type Recipe struct {
	Amounts    []DyeAmount // the most first
	Appearance Appearance
	Distance   float64 // CIEDE2000 to the wanted colour
}

// maxBondedPercent is the per cent of bonded dye on the cloth beyond which more does not
// dye deeper in proportion; no recipe asks for more.
const maxBondedPercent = 4

// minWeighablePercent is the per cent of a dye below which a recipe leaves it out: nobody can weigh it.
const minWeighablePercent = 0.005

// Match returns the recipes nearest to the wanted colour from dyes, each of at most
// most dyes (1 to 3), the best first, and one for each set of dyes. Of two that are
// equally near the one with fewer dyes comes first, and where few dyes come so near
// that nobody sees a difference, larger sets are not tried. There are at most ten.
func Match(dyes []*Dye, wanted Lab, most int) []Recipe {
	most = min(max(most, 1), 3)
	all := []Recipe{recipeOf(nil, nil, wanted)} // undyed cotton
	grow := [][]*Dye{nil}
	for range most {
		if nearest(all) < 0.1 {
			break // one more dye would not come nearer to be seen
		}
		larger := matchLarger(grow, dyes, wanted)
		sortRecipes(larger)
		for i, r := range larger[:min(len(larger), setsToExtend)] {
			larger[i] = r.refineAmounts(wanted)
		}
		sortRecipes(larger)
		all = append(all, larger...)
		grow = grow[:0]
		for _, r := range larger[:min(len(larger), setsToExtend)] {
			grow = append(grow, r.dyes())
		}
	}
	sortRecipes(all)
	return all[:min(len(all), 10)]
}

// setsToExtend says how many of the best sets of one size are tried with one dye more.
const setsToExtend = 6

// dyes lists the dyes of r.
func (r Recipe) dyes() (list []*Dye) {
	for _, l := range r.Amounts {
		list = append(list, l.Dye)
	}
	return list
}

// nearest returns the smallest distance of all.
func nearest(all []Recipe) float64 {
	d := math.Inf(1)
	for _, r := range all {
		d = min(d, r.Distance)
	}
	return d
}

// refineAmounts returns r with its amounts fitted again, over all bands.
func (r Recipe) refineAmounts(wanted Lab) Recipe {
	amounts := make([]float64, len(r.Amounts))
	for i, l := range r.Amounts {
		amounts[i] = l.BondedPercent
	}
	set := r.dyes()
	if better := recipeOf(set, minimizeError(set, amounts, wanted, fineStep), wanted); len(better.Amounts) == len(set) {
		return better
	}
	return r
}

// matchLarger returns the best recipe of each set that is one of grow and one dye more.
func matchLarger(grow [][]*Dye, dyes []*Dye, wanted Lab) (all []Recipe) {
	tried := map[[3]*Dye]bool{}
	for _, base := range grow {
		for _, d := range dyes {
			if slices.Contains(base, d) {
				continue
			}
			set := make([]*Dye, 0, len(base)+1)
			for _, x := range dyes { // in the order of dyes, so that a set has one key
				if x == d || slices.Contains(base, x) {
					set = append(set, x)
				}
			}
			key := [3]*Dye{}
			copy(key[:], set)
			if tried[key] {
				continue
			}
			tried[key] = true
			amounts, _ := fitAmounts(set, wanted)
			if r := recipeOf(set, amounts, wanted); len(r.Amounts) == len(set) { // else a smaller set had it
				all = append(all, r)
			}
		}
	}
	return all
}

// MatchWithoutOneDye returns the best recipe that does without the dye of best that matters most to
// its colour, and that dye; false where there is no other dye.
func MatchWithoutOneDye(dyes []*Dye, best Recipe, wanted Lab, most int) (next Recipe, missed *Dye, ok bool) {
	far := -1.
	for i, l := range best.Amounts {
		rest := slices.Delete(slices.Clone(best.Amounts), i, i+1)
		if d := Difference(DryAppearance(AbsorptionOf(rest...)).Lab, best.Appearance.Lab); d > far {
			missed, far = l.Dye, d
		}
	}
	rest := slices.DeleteFunc(slices.Clone(dyes), func(d *Dye) bool { return d == missed })
	if missed == nil || len(rest) == 0 {
		return Recipe{}, nil, false
	}
	return Match(rest, wanted, most)[0], missed, true
}

// recipeOf leaves out what cannot be weighed.
func recipeOf(set []*Dye, amounts []float64, wanted Lab) (r Recipe) {
	for i, a := range amounts {
		if a >= minWeighablePercent {
			r.Amounts = append(r.Amounts, DyeAmount{set[i], a})
		}
	}
	for i := 1; i < len(r.Amounts); i++ { // by amount; at most three
		for j := i; j > 0 && r.Amounts[j].BondedPercent > r.Amounts[j-1].BondedPercent; j-- {
			r.Amounts[j], r.Amounts[j-1] = r.Amounts[j-1], r.Amounts[j]
		}
	}
	r.Appearance = DryAppearance(AbsorptionOf(r.Amounts...))
	r.Distance = Difference(r.Appearance.Lab, wanted)
	return r
}

// totalDye returns the sum of the dyes of r, in per cent of the cloth.
func (r Recipe) totalDye() (sum float64) {
	for _, l := range r.Amounts {
		sum += l.BondedPercent
	}
	return sum
}

// sortRecipes puts the nearest first; within a tenth of CIEDE2000 fewer dyes win, and
// then less dye.
func sortRecipes(all []Recipe) {
	before := func(a, b Recipe) bool {
		if p, q := math.Floor(a.Distance*10), math.Floor(b.Distance*10); p != q {
			return p < q
		}
		if len(a.Amounts) != len(b.Amounts) {
			return len(a.Amounts) < len(b.Amounts)
		}
		return a.totalDye() < b.totalDye()
	}
	for i := 1; i < len(all); i++ {
		for j := i; j > 0 && before(all[j], all[j-1]); j-- {
			all[j], all[j-1] = all[j-1], all[j]
		}
	}
}

// fitAmounts finds amounts from 0 to maxBondedPercent of set (1 to 3 dyes) that come nearest to wanted
// in CIELAB, by Gauss–Newton steps with Levenberg's damping from up to three starts, and
// the distance there in CIEDE2000.
func fitAmounts(set []*Dye, wanted Lab) (amounts []float64, distance float64) {
	distance = math.Inf(1)
	for _, start := range []float64{0.4, 2} {
		x := make([]float64, len(set))
		for i := range x {
			x[i] = start / math.Sqrt(float64(len(set)))
		}
		x = minimizeError(set, x, wanted, coarseStep)
		if d := Difference(labOfMixture(set, x), wanted); d < distance {
			amounts, distance = x, d
		}
		if distance < 0.05 {
			break
		}
	}
	return amounts, distance
}

// minimizeError walks from x to a near minimum of the CIELAB distance.
func minimizeError(set []*Dye, x []float64, wanted Lab, step int) []float64 {
	n := len(x)
	damping := 1e-2
	c, slope := labSlope(set, x, step)
	e, now := errorOf(c, wanted)
	for range 40 {
		move, ok := normalStep(slope, e, n, damping, x)
		if !ok {
			break
		}
		y := make([]float64, n)
		moved := 0.
		for i := range y {
			y[i] = min(max(x[i]+move[i], 0), maxBondedPercent)
			moved += math.Abs(y[i] - x[i])
		}
		c, slopeThere := labSlope(set, y, step)
		f, then := errorOf(c, wanted)
		gained := now - then
		if gained > 0 {
			x, e, now, slope, damping = y, f, then, slopeThere, damping/4
		} else {
			damping *= 5
		}
		if now < 1e-6 || moved < 1e-6 || damping > 1e6 || (gained > 0 && gained < 1e-6*now) {
			break
		}
	}
	return x
}

// errorOf returns the CIELAB error of c and its square.
func errorOf(c, wanted Lab) (e [3]float64, square float64) {
	e = [3]float64{c.L - wanted.L, c.A - wanted.A, c.B - wanted.B}
	return e, e[0]*e[0] + e[1]*e[1] + e[2]*e[2]
}

// The steps between the bands that solve looks at: coarse to search by, fine to end with.
const (
	fineStep   = 1
	coarseStep = 2
)

// weightsByStep are the weights for steps of one band and of two; what lies between two bands
// is shared out to both.
var weightsByStep = [2][][3]float64{weights[:], everySecondWeight()}

func everySecondWeight() [][3]float64 {
	w := make([][3]float64, SpectrumBands/2+1)
	for i := range weights {
		for k, v := range weights[i] {
			if i%2 == 0 {
				w[i/2][k] += v
			} else {
				w[i/2][k] += v / 2
				w[i/2+1][k] += v / 2
			}
		}
	}
	return w
}

// labSlope returns the colour with amounts of set bonded, and its derivative by each amount.
func labSlope(set []*Dye, amounts []float64, step int) (c Lab, slope [3][3]float64) {
	var xyz XYZ
	var by [3]XYZ // derivative of xyz by amount i
	for i := 0; i < SpectrumBands; i += step {
		ks := cottonKS[i]
		for d, dye := range set {
			ks += dye.spectrum[i] * amounts[d]
		}
		root := math.Sqrt(ks*ks + 2*ks)
		r := 1 / (1 + ks + root)
		dr := -r / root // dR/d(K/S)
		for k, w := range weightsByStep[step-1][i/step] {
			xyz[k] += r * w
			for d, dye := range set {
				by[d][k] += dr * w * dye.spectrum[i]
			}
		}
	}
	var f, df [3]float64
	for k := range xyz {
		t := xyz[k] / whiteXYZ[k]
		f[k] = lightness(t)
		if t <= linearBoundRoot*linearBoundRoot*linearBoundRoot {
			df[k] = 1 / (3 * linearBoundRoot * linearBoundRoot)
		} else {
			df[k] = f[k] / (3 * t)
		}
		df[k] /= whiteXYZ[k]
	}
	for d := range set {
		x, y, z := df[0]*by[d][0], df[1]*by[d][1], df[2]*by[d][2]
		slope[0][d], slope[1][d], slope[2][d] = 116*y, 500*(x-y), 200*(y-z)
	}
	return Lab{116*f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])}, slope
}

// normalStep solves (JᵀJ + damping·diag) step = −Jᵀe for n unknowns. An amount at its
// bound that would go beyond it stays.
func normalStep(slope [3][3]float64, e [3]float64, n int, damping float64, x []float64) (step [3]float64, ok bool) {
	var a [3][4]float64
	for i := range n {
		for j := range n {
			for k := range 3 {
				a[i][j] += slope[k][i] * slope[k][j]
			}
		}
		for k := range 3 {
			a[i][n] -= slope[k][i] * e[k]
		}
	}
	for i := range n {
		if (x[i] <= 0 && a[i][n] < 0) || (x[i] >= maxBondedPercent && a[i][n] > 0) {
			for j := range n {
				a[i][j], a[j][i] = 0, 0
			}
			a[i][i], a[i][n] = 1, 0
			continue
		}
		a[i][i] += damping*a[i][i] + 1e-9
	}
	for i := range n { // elimination; the matrix is positive definite
		if a[i][i] < 1e-12 {
			return step, false
		}
		for r := i + 1; r < n; r++ {
			f := a[r][i] / a[i][i]
			for c := i; c <= n; c++ {
				a[r][c] -= f * a[i][c]
			}
		}
	}
	for i := n - 1; i >= 0; i-- {
		step[i] = a[i][n]
		for j := i + 1; j < n; j++ {
			step[i] -= a[i][j] * step[j]
		}
		step[i] /= a[i][i]
	}
	return step, true
}

// labOfMixture returns the colour of dry cotton with amounts of set bonded to it.
func labOfMixture(set []*Dye, amounts []float64) Lab {
	s := cottonKS
	for d, dye := range set {
		for i := range s {
			s[i] += dye.spectrum[i] * amounts[d]
		}
	}
	for i := range s {
		s[i] = ReflectanceFromKS(s[i])
	}
	return s.Lab()
}
