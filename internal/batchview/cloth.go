package batchview

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/provenance"
)

// harmsAnimal is why wool and silk do not belong in this job.
const harmsAnimal = "soda ash breaks down animal fibres: wool felts and goes weak, silk goes dull and tender. They take reactive dye in a mildly acid bath"

const harmsAnimalSource = "A. D. Broadbent, Basic Principles of Textile Coloration, SDC 2001, on alkali and protein fibres, from memory"

// clothWords says what pieces are made of: "silk", "60 % cotton blend". It is empty
// for plain cotton, which needs no words.
func clothWords(p batch.Piece) string {
	fibreName := func(key string) string {
		if info, known := goods.Fibre(key).Info(); known {
			return info.Words
		}
		return key
	}
	if len(p.Blend) > 1 {
		return formatPercent(p.Blend[0].Share) + " " + fibreName(p.Blend[0].Fibre) + " blend"
	}
	fibre := p.Fibre
	if len(p.Blend) == 1 {
		fibre = p.Blend[0].Fibre
	}
	switch {
	case p.MainFibreShare > 0 && p.MainFibreShare < 1 && fibre != "":
		return formatPercent(p.MainFibreShare) + " " + fibreName(fibre)
	case fibre == "" || fibre == string(goods.Cotton):
		return ""
	}
	return fibreName(fibre)
}

// fibresOf lists the fibres of a piece.
func fibresOf(p batch.Piece) []goods.Fibre {
	if len(p.Blend) == 0 {
		return []goods.Fibre{goods.Fibre(p.Fibre)}
	}
	out := make([]goods.Fibre, 0, len(p.Blend))
	for _, f := range p.Blend {
		out = append(out, goods.Fibre(f.Fibre))
	}
	return out
}

// harmedFibre names the fibre of a piece that soda ash harms, "" if there is none.
func harmedFibre(p batch.Piece) string {
	for _, f := range fibresOf(p) {
		if info, known := f.Info(); known && info.Affinity == goods.AffinityNeedsOtherBath {
			return info.Words
		}
	}
	return ""
}

// clothCautions returns a caution for each sort of piece, of the given or of all, that soda ash harms.
func clothCautions(s batch.State, only []journal.ID) (out []provenance.Caution) {
	for _, p := range s.Pieces {
		if fibre := harmedFibre(p); fibre != "" && (len(only) == 0 || containsID(only, p.ID)) {
			out = append(out, provenance.Caution{Code: "cloth-" + string(p.ID), Text: capitalize(pieceWords(p, p.Count)) + ": keep it out of the soda ash, it harms " + fibre + ".",
				Source: harmsAnimal + " (" + harmsAnimalSource + ")"})
		}
	}
	return out
}

func containsID(list []journal.ID, id journal.ID) bool {
	_, ok := find(list, func(x journal.ID) bool { return x == id })
	return ok
}
