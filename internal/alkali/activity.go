package alkali

import (
	"math"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// A soda-ash bath is far from ideal: at 50 g/L its ionic strength is 1.4.
// Without activities the pH comes out 0.4 too high at 50 g/L. The Davies
// equation holds to about 10 g/L; at 50 g/L it is 0.27 too high and above that
// useless, because its linear term, made for ions of one charge, is multiplied
// by four for carbonate. The equation of Truesdell and Jones with one size and
// one linear term for each ion holds throughout:
//
//	log γ = −A z² √I / (1 + B å √I) + b I

// truesdell is the source of that equation and of the parameters.
var truesdell = fault.Source{Kind: fault.Memory, Text: "A. H. Truesdell and B. F. Jones, WATEQ, J. Res. U.S. Geol. Survey 2 (1974) 233–248: activity of single ions"}

// ion has the parameters of one ion: charge, size å in Å, and b in kg/mol.
type ion struct{ charge, size, linear float64 }

// The ions of the bath. Sizes and terms as in the database phreeqc.dat, from
// memory. Sodium is only a counter-ion here: its own activity never enters.
// The database pairs sodium with bicarbonate besides; we leave the pair out,
// which costs at most 0.05 in a half-spent bath and brings the carbonate buffer
// of the National Bureau of Standards nearer (0.005 at 15–40 °C).
var (
	hydrogen    = ion{1, 9.0, 0}
	hydroxide   = ion{1, 3.5, 0.015}
	carbonate   = ion{2, 5.4, 0}
	bicarbonate = ion{1, 5.4, 0}
)

// neutralTerm is log γ of dissolved carbon dioxide per unit of ionic strength:
// the usual 0.1 for an uncharged species (phreeqc.dat, from memory).
const neutralTerm = 0.1

// waterTerm is the activity that water loses per mol/kg of all ions: R. M.
// Garrels and C. L. Christ, Solutions, Minerals, and Equilibria (1965), as in
// PHREEQC; from memory.
const waterTerm = 0.017

// debyeHuckel gives A (kg^½ mol^−½) and B (kg^½ mol^−½ Å^−1) for water at t
// from its density and permittivity; 0.509 and 0.328 at 25 °C. Truesdell and
// Jones 1974, from memory.
func debyeHuckel(t unit.Temperature) (a, b float64) {
	k := kelvin(t)
	permittivity := 2727.586 + 0.6224107*k - 466.9151*math.Log(k) - 52000.87/k
	root := math.Sqrt(waterDensity(t))
	return 1824827.7 * root / math.Pow(permittivity*k, 1.5), 50.2905 * root / math.Sqrt(permittivity*k)
}

// logGamma is log10 of the activity coefficient at ionic strength i (mol/kg).
func (x ion) logGamma(a, b, i float64) float64 {
	root := math.Sqrt(i)
	return -a*x.charge*x.charge*root/(1+b*x.size*root) + x.linear*i
}
