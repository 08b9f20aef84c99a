package label

import (
	"encoding/json"
	"os"
	"reflect"
	"testing"
)

// frozenCode is a code that may stand on paper, and what it means.
type frozenCode struct {
	Why   string `json:"why"`
	Code  string `json:"code"`
	Label Label  `json:"label"`
}

// Codes of every version that was ever written are read for ever, and mean what
// they meant. The files are never made anew: a row that fails is a label in some
// house that reads no more.
func TestOldCodesAreReadForEver(t *testing.T) {
	for _, file := range []string{"testdata/version1.json", "testdata/version2.json"} {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var rows []frozenCode
		if err := json.Unmarshal(text, &rows); err != nil || len(rows) < 10 {
			t.Fatalf("%s: %d rows, %v", file, len(rows), err)
		}
		for _, row := range rows {
			if got, err := Decode(row.Code); err != nil || !reflect.DeepEqual(got, row.Label) {
				t.Errorf("%s: %s: %s\n got %+v, %v\nwant %+v", file, row.Why, row.Code, got, err, row.Label)
			}
		}
	}
}
