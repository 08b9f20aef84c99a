package fold

import (
	"math"
	"slices"

	"coldbatch/internal/colour"
)

// paint is what the colours of cells need of the dyes, which a thumb seldom changes.
type paint struct {
	colours []Colour
	wet     bool
	painter *colour.Painter
	alone   [][]lanes                       // each dye alone, up to twice full, in steps of 1/aloneSteps
	pairs   [maxColours][maxColours][]lanes // of two dyes, made when first needed
	triples map[[3]int][]lanes
}

// Most cells hold one dye alone: its colours are worked out once, in steps of 1/aloneSteps of
// full dye. Less than traceOfDye beside it is not seen.
const (
	aloneSteps = 240
	traceOfDye = 0.002
)

func newPaint(colours []Colour, wet bool) paint {
	full := make([]colour.Spectrum, len(colours))
	for k, x := range colours {
		full[k] = x.FullSpectrum
	}
	p := paint{colours: slices.Clone(colours), wet: wet, painter: colour.NewPainter(full, wet), alone: make([][]lanes, len(colours)), triples: map[[3]int][]lanes{}}
	amounts := make([]float32, len(colours))
	for k := range p.alone {
		p.alone[k] = make([]lanes, 2*aloneSteps+1)
		for step := range p.alone[k] {
			amounts[k] = float32(step) / aloneSteps
			p.alone[k][step] = lanesOf(p.painter.Paint(amounts))
		}
		amounts[k] = 0
	}
	return p
}

// Two and three dyes together are looked up in tables of their amounts, in steps that are small where there is
// little dye, since the first of it changes a colour most: amount i is mostInTable·(i/last)².
const (
	mostInTable = 1.5
	pairSteps   = 48
	tripleSteps = 20
)

// mixColours returns the colour of several dyes; count is how many of amounts are more than a trace.
func (p *paint) mixColours(amounts []float32, count int) lanes {
	if count == 2 || count == 3 {
		var dyes [3]int
		var at [3]int
		var weight [3]lanes
		last := float32(pairSteps - 1)
		if count == 3 {
			last = tripleSteps - 1
		}
		n := 0
		for k, x := range amounts {
			if x <= traceOfDye {
				continue
			}
			if x >= mostInTable {
				return lanesOf(p.painter.Paint(amounts))
			}
			step := last * float32(math.Sqrt(float64(x*(1/mostInTable))))
			dyes[n], at[n] = k, int(step)
			weight[n] = lanes((step - float32(at[n])) * mostWeights)
			n++
		}
		if count == 2 {
			table := p.pairs[dyes[0]][dyes[1]]
			if table == nil {
				table = p.tabulate(pairSteps, dyes[:2])
				p.pairs[dyes[0]][dyes[1]] = table
			}
			near := table[at[1]*pairSteps+at[0]:][:pairSteps+2]
			return blend(blend(near[0], near[1], weight[0]), blend(near[pairSteps], near[pairSteps+1], weight[0]), weight[1])
		}
		table := p.triples[dyes]
		if table == nil {
			table = p.tabulate(tripleSteps, dyes[:])
			p.triples[dyes] = table
		}
		const plane = tripleSteps * tripleSteps
		near := table[(at[2]*tripleSteps+at[1])*tripleSteps+at[0]:][:plane+tripleSteps+2]
		a := blend(blend(near[0], near[1], weight[0]), blend(near[tripleSteps], near[tripleSteps+1], weight[0]), weight[1])
		near = near[plane:]
		b := blend(blend(near[0], near[1], weight[0]), blend(near[tripleSteps], near[tripleSteps+1], weight[0]), weight[1])
		return blend(a, b, weight[2])
	}
	return lanesOf(p.painter.Paint(amounts))
}

// tabulate returns the colours of two or three dyes by their amounts, those of the first next to one another.
func (p *paint) tabulate(steps int, dyes []int) []lanes {
	n := 1
	for range dyes {
		n *= steps
	}
	table := make([]lanes, n)
	amounts := make([]float32, len(p.colours))
	for i := range table {
		rest := i
		for _, k := range dyes {
			share := float32(rest%steps) / float32(steps-1)
			amounts[k] = mostInTable * share * share
			rest /= steps
		}
		table[i] = lanesOf(p.painter.Paint(amounts))
	}
	return table
}
