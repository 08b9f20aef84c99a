package batchview

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
)

// builtStates are the hashes of what each CacheVersion builds from sampleFacts.
var builtStates = map[int]string{
	5:  "78a996c1aa42dfe7",
	6:  "78a996c1aa42dfe7", // leases and measured clocks that were withdrawn: none among the samples
	7:  "78a996c1aa42dfe7", // texts without control characters and marks of direction: none among the samples
	8:  "78a996c1aa42dfe7", // a code that was opened twice: none among the samples
	9:  "8fb114ca5a06bc93",
	10: "9545fcfbbda0875f",
	11: "e7b68afa6e166f7a", // baths of a rinse are counted
	12: "5b3f6b345a265772", // what a colour and pieces are besides, the time to rinse, what the shelf lost
	13: "f779c7654023bd86", // designs
	14: "648d2a4de50e70e0", // powder open, pieces taken, lots in the soak, jugs topped up
	15: "af92258cb47ccad5", // the powder on the cloth and a design's white have names in lower case
	16: "d552b5a51c783d41", // a number that a helper used without a lease says by whom
	17: "7f9d6aaa2c9e4d22", // results, colours read, dye put on, rinses, washes, the batch that is repeated
	18: "0c625d81744ea017", // powder that topped up a jug came off the shelf
	19: "2c4485e24c2b5658", // bottles filled, why a batch ended, what was planned and then recorded
	20: "8892a5c4fedea1cb", // bags that were weighed, ratings that were taken off, figures of the dyer's own
	21: "43047f9d93a11e61", // the bag whose rating says how a design came out
	22: "aba6c7b06bffdf04", // blanks that no printing of the batch has
	23: "aba6c7b06bffdf04", // a batch with a start that was withdrawn
	24: "ee1eb0859a01d4d1", // blanks that an owner attached stay on their bag; a batch that a helper finished while bags cure is open
}

// A state that is cached is believed as long as CacheVersion is the same, so that must
// rise with every change of what the same facts give, a new kind of fact included.
func TestCacheVersion(t *testing.T) {
	facts := sampleFacts(t)
	var withdrawn, before []journal.Fact
	for _, f := range facts {
		if f.Kind != journal.KindFactWithdrawn && f.Kind != journal.KindFactRestored {
			before = append(before, f)
		} else {
			withdrawn = append(withdrawn, f)
		}
	}
	text, err := json.Marshal([]any{batch.Build(before), batch.Build(append(before, withdrawn...)), batch.BuildPlace(facts), batch.BuildDesigns(facts)})
	if err != nil {
		t.Fatal(err)
	}
	text = []byte(strings.ReplaceAll(string(text), fmt.Sprintf(`"version":%d,`, batch.CacheVersion), ""))
	sum := sha256.Sum256(text)
	if got := hex.EncodeToString(sum[:8]); builtStates[batch.CacheVersion] != got {
		t.Errorf("these facts give another state than with CacheVersion %d, or a kind is new among them: raise CacheVersion in state.go by one and add `%d: %q` to builtStates",
			batch.CacheVersion, batch.CacheVersion+1, got)
	}
}
