package alkali

import (
	"math"
	"testing"

	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

// pitzerPH is an independent model of the same bath, for 5–45 °C where the table
// of PHREEQC has 20–30 °C only: ion interaction after K. S. Pitzer, with the
// parameters of PHREEQC's database pitzer.dat (C. E. Harvie, N. Møller and J. H.
// Weare, Geochim. Cosmochim. Acta 48 (1984) 723–751). The parameters at 25 °C and
// the temperature terms of Na–CO3 are read; the temperature terms of Na–OH and
// Na–HCO3, and the equations, are from memory. Hydroxide and bicarbonate are
// traces beside the carbonate, so mixing among them is left out.
func pitzerPH(c, celsius float64) float64 {
	t := unit.Temperature(celsius)
	a10, _ := debyeHuckel(t)
	a := a10 * math.Ln10 / 3
	dT := celsius - 25
	carbonate := molality(unit.Concentration(c), t)
	sodium := 2 * carbonate
	i := (sodium + 4*carbonate) / 2
	root := math.Sqrt(i)

	g := func(x float64) float64 { return 2 * (1 - (1+x)*math.Exp(-x)) / (x * x) }
	dg := func(x float64) float64 { return -2 * (1 - (1+x+x*x/2)*math.Exp(-x)) / (x * x) }
	type pair struct{ b0, b1, c float64 }
	b := func(p pair) float64 { return p.b0 + p.b1*g(2*root) }
	naCO3 := pair{0.0399 + 1.79e-3*dT, 1.389 + 2.05e-3*dT, 0.0044 / (2 * math.Sqrt2)}
	naOH := pair{0.0864 + 7.00e-4*dT, 0.253 + 1.34e-4*dT, (0.0044 - 18.94e-5*dT) / 2}
	naHCO3 := pair{-0.018 + 1.00e-3*dT, -0.0101 + 1.10e-3*dT, 0}

	// Unsymmetrical mixing of ions of charge 1 and 2: Pitzer 1975, with his
	// approximation of the integral.
	j := func(x float64) float64 {
		return x / (4 + 4.581*math.Pow(x, -0.7237)*math.Exp(-0.0120*math.Pow(x, 0.528)))
	}
	mixing := 2 / (4 * i) * (j(12*a*root) - j(6*a*root)/2 - j(24*a*root)/2)

	f := -a*(root/(1+1.2*root)+2/1.2*math.Log(1+1.2*root)) + sodium*carbonate*naCO3.b1*dg(2*root)/i
	z := sodium + 2*carbonate
	trace := func(p pair, theta, psi float64) float64 {
		return f + sodium*(2*b(p)+z*p.c) + carbonate*(2*(theta+mixing)+sodium*psi) + sodium*carbonate*naCO3.c
	}
	lnOH := trace(naOH, 0.10, -0.017)
	lnBi := trace(naHCO3, -0.04, 0.002)
	lnCO3 := 4*f + sodium*(2*b(naCO3)+z*naCO3.c) + 2*sodium*carbonate*naCO3.c

	// CO3-- + H2O = HCO3- + OH-, as much of the one as of the other.
	water := 1 - waterActivityTerm*(sodium+carbonate)
	k := math.Pow(10, logKw.valueAt(t)-logK2.valueAt(t)) * water * math.Exp(lnCO3-lnOH-lnBi)
	oh := (-k + math.Sqrt(k*k+4*k*carbonate)) / 2
	return -logKw.valueAt(t) + math.Log10(oh) + lnOH/math.Ln10 - math.Log10(water)
}

// phChangeFrom25 says how far a model's pH at c moves from 25 °C to warm. A pH rests on a
// convention for the activity of a single ion, and PHREEQC's is another than
// Pitzer's own: that shifts the level by up to 0.07 and cancels in the change.
func phChangeFrom25(model func(c, warm float64) float64, c, warm float64) float64 {
	return model(c, warm) - model(c, 25)
}

// The independent model drifts with temperature as PHREEQC with pitzer.dat does.
func TestPitzerIsPitzer(t *testing.T) {
	table := map[[2]float64]float64{}
	for _, row := range reftest.Load(t, "ph-soda-ash.tsv") {
		if row["database"] == "pitzer.dat" {
			table[[2]float64{row.Number(t, "grams_per_litre"), row.Number(t, "celsius")}] = row.Number(t, "ph")
		}
	}
	published := func(c, warm float64) float64 { return table[[2]float64{c, warm}] }
	for at := range table {
		if got, want := phChangeFrom25(pitzerPH, at[0], at[1]), phChangeFrom25(published, at[0], at[1]); !near(got, want, 0.01) {
			t.Errorf("%g g/L at %g °C: drifts by %.3f, want %.3f", at[0], at[1], got, want)
		}
	}
}

// Over the whole range that is claimed, PH drifts from its checked level at 25 °C
// as the independent model does, well within the claim.
func TestPHOverTheWholeRange(t *testing.T) {
	ours := func(c, warm float64) float64 {
		ph, _ := PH(unit.Concentration(c), unit.Temperature(warm), 0)
		return float64(ph)
	}
	for warm := 5.0; warm <= 45; warm += 5 {
		for _, c := range []float64{5, 10, 20, 30, 50, 70, 100} {
			got, want := phChangeFrom25(ours, c, warm), phChangeFrom25(pitzerPH, c, warm)
			if !near(got, want, 0.02) {
				t.Errorf("%g g/L at %g °C: drifts by %.3f, want %.3f", c, warm, got, want)
			}
		}
	}
}
