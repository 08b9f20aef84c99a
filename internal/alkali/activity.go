package alkali

import (
	"fmt"
	"math"

	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// A soda-ash bath is not an ideal solution: at 50 g/L its ionic strength is 1.4.
// Without activities the pH is 0.4 too high at 50 g/L. The Davies equation works up to
// about 10 g/L; at 50 g/L it is 0.27 too high and above that useless, because its
// linear term, made for ions of one charge, is multiplied by four for carbonate. The
// equation of Truesdell and Jones, with a size and a linear term for each ion, works
// over the whole range:
//
//	log γ = −A z² √I / (1 + B å √I) + b I

// truesdellSource is the source of that equation.
var truesdellSource = provenance.Source{Reliability: provenance.Memory, Text: "A. H. Truesdell and B. F. Jones, WATEQ, J. Res. U.S. Geol. Survey 2 (1974) 233–248: activity of single ions"}

// phreeqcDatabaseSource is the source of the parameters of the ions.
var phreeqcDatabaseSource = provenance.Source{Reliability: provenance.Memory, Text: "the database phreeqc.dat of USGS PHREEQC 3, for the equation of Truesdell and Jones 1974"}

// ion has the parameters of one ion: charge, size å in Å, and b in kg/mol.
type ion struct{ charge, size, linearTerm float64 }

// The ions of the bath, with sizes and terms as in the database phreeqc.dat, from
// memory. Sodium is only a counter-ion here, so its activity is not needed. The
// database also pairs sodium with bicarbonate; we leave the pair out. That costs at
// most 0.05 in a half-spent bath, and the carbonate buffer of the National Bureau of
// Standards comes out closer (within 0.005 at 15–40 °C).
var (
	hydrogen    = ion{1, 9.0, 0}
	hydroxide   = ion{1, 3.5, 0.015}
	carbonate   = ion{2, 5.4, 0}
	bicarbonate = ion{1, 5.4, 0}
)

// co2ActivityTerm is log γ of dissolved carbon dioxide per unit of ionic strength:
// the usual 0.1 for an uncharged species (phreeqc.dat, from memory).
const co2ActivityTerm = 0.1

// waterActivityTerm is the activity that water loses per mol/kg of all ions: R. M.
// Garrels and C. L. Christ, Solutions, Minerals, and Equilibria (1965), as in
// PHREEQC; from memory.
const waterActivityTerm = 0.017

// debyeHuckel returns A (kg^½ mol^−½) and B (kg^½ mol^−½ Å^−1) for water at t
// from its density and permittivity; 0.509 and 0.328 at 25 °C. Truesdell and
// Jones 1974, from memory.
func debyeHuckel(t unit.Temperature) (a, b float64) {
	k := kelvin(t)
	permittivity, root := permittivity(t), math.Sqrt(waterDensity(t))
	return debyeHuckelFactorA * root / math.Pow(permittivity*k, 1.5), debyeHuckelFactorB * root / math.Sqrt(permittivity*k)
}

// The factors of A and B. The permittivity of water that belongs to them depends on the
// absolute temperature T, by the factors of 1, T, ln T and 1/T.
const (
	debyeHuckelFactorA = 1824827.7
	debyeHuckelFactorB = 50.2905
)

var permittivityFit = [4]float64{2727.586, 0.6224107, -466.9151, -52000.87}

func permittivity(t unit.Temperature) float64 {
	k := kelvin(t)
	return permittivityFit[0] + permittivityFit[1]*k + permittivityFit[2]*math.Log(k) + permittivityFit[3]/k
}

// activityValues lists the constants in this file.
func activityValues() []provenance.Value {
	d := permittivityFit
	v := []provenance.Value{
		{Name: fmt.Sprintf("permittivity of water at 25 °C, by %.7g %+.7g T %+.7g ln T %+.7g/T", d[0], d[1], d[2], d[3]), Value: permittivity(referenceTemperature), Unit: "1", Source: truesdellSource},
		{Name: "Debye and Hückel's A: factor of √density/(permittivity T)^1.5", Value: debyeHuckelFactorA, Unit: "kg^½ mol^−½", Source: truesdellSource},
		{Name: "Debye and Hückel's B: factor of √density/√(permittivity T)", Value: debyeHuckelFactorB, Unit: "kg^½ mol^−½ Å^−1", Source: truesdellSource},
		{Name: "log of the activity of carbon dioxide a mol/kg", Value: co2ActivityTerm, Unit: "kg/mol", Source: phreeqcDatabaseSource},
		{Name: "activity that water loses a mol/kg", Value: waterActivityTerm, Unit: "kg/mol",
			Source: provenance.Source{Reliability: provenance.Memory, Text: "R. M. Garrels and C. L. Christ, Solutions, Minerals, and Equilibria (1965), as in USGS PHREEQC"}},
	}
	for _, i := range []struct {
		name string
		ion  ion
	}{{"hydrogen", hydrogen}, {"hydroxide", hydroxide}, {"carbonate", carbonate}, {"bicarbonate", bicarbonate}} {
		v = append(v, provenance.Value{Name: fmt.Sprintf("size of the ion of %s, with a linear term of %g kg/mol", i.name, i.ion.linearTerm), Value: i.ion.size, Unit: "Å", Source: phreeqcDatabaseSource})
	}
	return v
}

// logActivityCoefficient is log10 of the activity coefficient at ionic strength i (mol/kg).
func (x ion) logActivityCoefficient(a, b, i float64) float64 {
	root := math.Sqrt(i)
	return -a*x.charge*x.charge*root/(1+b*x.size*root) + x.linearTerm*i
}
