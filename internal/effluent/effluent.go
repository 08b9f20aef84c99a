// Package effluent says what a used soda-ash bath is like when it goes down a
// drain: its pH once water has thinned it, and the acid that brings it down to a
// limit. Start with Bath. It knows no rules: those are local.
package effluent

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// Bath is a used bath of soda ash, perhaps thinned with tap water, whose
// bicarbonate lowers the pH as an acid would.
type Bath struct {
	Volume      unit.Volume
	Soda        unit.Concentration // anhydrous soda ash
	Bicarbonate float64            // from tap water, mol/L
	Temperature unit.Temperature
}

// The molar masses, in g/mol, and what the acids hold.
var (
	molarMassSource = provenance.Source{Reliability: provenance.Published, Text: "molar masses from IUPAC, Standard atomic weights of the elements 2021, Pure Appl. Chem. 94 (2022) 573–600"}

	SodaMolarMass       = provenance.Value{Name: "molar mass of soda ash", Value: 105.988, Unit: "g/mol", Source: molarMassSource}
	ChalkMolarMass      = provenance.Value{Name: "molar mass of calcium carbonate, by which hardness counts", Value: 100.087, Unit: "g/mol", Source: molarMassSource}
	CitricAcidMolarMass = provenance.Value{Name: "molar mass of citric acid monohydrate; each neutralises three", Value: 210.138, Unit: "g/mol", Source: molarMassSource}
	AceticAcidMolarMass = provenance.Value{Name: "molar mass of acetic acid", Value: 60.052, Unit: "g/mol", Source: molarMassSource}
	// VinegarStrength says how strong the vinegar of a kitchen is.
	VinegarStrength = provenance.Value{Name: "acetic acid in vinegar", Value: 50, Unit: "g/L", Low: 40, High: 60,
		Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: the label says 4 to 6 %"}}
	// TapBicarbonate is what stands for the bicarbonate of tap water.
	TapBicarbonate = provenance.Value{Name: "bicarbonate hardness of tap water, of its whole hardness", Value: 1, Unit: "1", Low: 0.5, High: 1.2,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: in most tap water nearly all calcium comes with bicarbonate"}}
)

// Diluted is the bath with water of a hardness added.
func (b Bath) Diluted(water unit.Volume, h unit.Hardness) Bath {
	all := b.Volume + water
	if all <= 0 {
		return b
	}
	was, added := float64(b.Volume/all), float64(water/all)
	tap := float64(h) / 1000 * TapBicarbonate.Value * 2 / ChalkMolarMass.Value // a chalk is two bicarbonates
	return Bath{Volume: all, Soda: b.Soda * unit.Concentration(was), Bicarbonate: b.Bicarbonate*was + tap*added, Temperature: b.Temperature}
}

// carbonAndAcid returns all carbonate of the bath as soda ash, and the share of it that is
// bicarbonate already.
func (b Bath) carbonAndAcid() (c unit.Concentration, acid unit.Share) {
	soda := float64(b.Soda) / SodaMolarMass.Value
	all := soda + b.Bicarbonate
	if all <= 0 {
		return 0, 0
	}
	return unit.Concentration(all * SodaMolarMass.Value), unit.Share(b.Bicarbonate / all)
}

// PH is the pH of the bath, as alkali.PH returns it. A bath of less than 5 g/L is
// extrapolated.
func (b Bath) PH() (ph unit.PH, extrapolated bool) {
	c, acid := b.carbonAndAcid()
	return alkali.PH(c, b.Temperature, acid)
}

// AcidTo is the acid, in moles, that brings the bath down to ph: 0 where it is there
// already. Down to 8.5 hardly any gas forms.
func (b Bath) AcidTo(ph unit.PH) float64 {
	c, has := b.carbonAndAcid()
	lacks := max(0, float64(alkali.SpentShare(c, b.Temperature, ph)-has))
	return lacks * float64(c) / SodaMolarMass.Value * float64(b.Volume) / 1000
}

// CitricAcidMass is the citric acid (monohydrate) that gives that many moles of acid; above
// pH 8 all three of its protons count.
func CitricAcidMass(acid float64) unit.Mass { return unit.Mass(acid / 3 * CitricAcidMolarMass.Value) }

// VinegarVolume is the vinegar that gives that many moles of acid, with its range.
func VinegarVolume(acid float64) (v, low, high unit.Volume) {
	in := func(strength float64) unit.Volume {
		return unit.Volume(acid * AceticAcidMolarMass.Value / strength * 1000)
	}
	return in(VinegarStrength.Value), in(VinegarStrength.High), in(VinegarStrength.Low)
}

// The limits that are known of.
var (
	// MaxDrainPH is the strict end of what sewer rules allow.
	MaxDrainPH = provenance.Value{Name: "highest pH that a strict sewer rule allows", Value: 10, Unit: "1", Low: 10, High: 12,
		Source: provenance.Source{Reliability: provenance.Published, Text: "Village of Grafton, Wisconsin, prohibited discharges: pH above 10.0; Baltimore City Code, article 25, § 2-5: above 12.0; yours may differ"}}
	// LargeBathVolume is the bath from which one asks first.
	LargeBathVolume = provenance.Value{Name: "bath from which you ask the works first", Value: 100_000, Unit: "mL",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: more than a household washes at once"}}
	// AcidicDrainSource is why a bath is never made sour.
	AcidicDrainSource = provenance.Source{Reliability: provenance.Published, Text: "US 40 CFR 403.5(b): nothing below pH 5 into a public sewer, and nothing that warms the works above 40 °C"}
)

// NeutralizingCaution is the caution of neutralising.
var NeutralizingCaution = provenance.Caution{Code: "neutralise",
	Text:   "add acid little by little to the bath outdoors or by an open window, goggles and gloves on: it foams; never to a bath with bleach in it, that gives off a harmful gas; stop at the limit, a sour bath harms pipes",
	Source: "common practice; the products' safety data sheets come first"}

// NeverPouredCaution is the caution of what no drain may take.
var NeverPouredCaution = provenance.Caution{Code: "never-poured",
	Text:   "never pour dye powder, strong dye or bleach into a drain, and no bath into the street, a storm drain, the garden or open water; what is left of a powder goes where its safety data sheet and your council say",
	Source: "City of Los Angeles, stormwater practices for textile work; otherwise common practice"}
