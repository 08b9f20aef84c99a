//go:build unix

package labels_test

import (
	"encoding/base64"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// Numbered blanks are printed with the program stopped, on a sheet that is half used:
// their numbers are taken first, each code reads back, the paper is told to the
// printer to a tenth of a millimetre. The next time nothing is left to choose; what was printed
// can be printed again, and taken back.
func TestPrintsBlanksAlone(t *testing.T) {
	need.CI(t)
	t.Parallel()
	need.Programs(t, "pdfinfo", "pdftoppm", "zbarimg")
	h, p, batch := phonetest.StartPlanned(t)
	p.GoTo(batch + "/bagging")
	p.Tap("Print numbered blanks first…")
	p.WaitForText("Print blanks 1–24") // more than the hub gives by itself
	p.Audit("blanks to print")
	p.WaitForSync()
	p.WaitForInstall()
	p.AllowNetworkErrors()
	h.Stop()

	p.Open(batch)
	p.Tap("Print labels…")
	p.Tap("A4, 70 × 37 mm…")
	p.Tap("A4, 105 × 74 mm…")
	p.Tap("black only")
	p.Tap("Done")
	p.Tap("a whole sheet…")
	p.Audit("the first free label")
	p.Tap("Start at label 3")
	p.WaitForText("from label 3 on", "Print blanks 1–6", "the hub cannot be reached")
	p.Tap("Print blanks 1–6")
	p.WaitForText("6 labels printed", "1–6", "none attached yet", "a whole sheet") // the sheet was used up
	p.Tap("Undo")
	p.WaitForText("Undone", "Print blanks 7–14") // a number that may have been printed is not given twice
	if n := len(p.BlankAddresses(batch, false)); n != 0 {
		t.Errorf("%d blanks hold", n)
	}
	p.Tap("Redo")
	p.WaitForText("Restored", "1–6")
	if runs := p.RecordedBodies(batch, journal.KindBlanksPrinted); len(runs) != 1 || runs[0]["from"] != 1. || runs[0]["to"] != 6. || runs[0]["sheet"] != "a4-105x74" {
		t.Errorf("recorded is %v", runs)
	}

	// Printed again they bear the same codes, from where one likes.
	p.Tap("1–6…")
	p.Tap("a whole sheet…")
	p.Tap("Start at label 3")
	p.WaitForPages("from label 3 on", "Print blanks 1–6")
	codes := p.BlankAddresses(batch, false)
	s := p.PrintToPDF()
	s.CheckPages(1, 210, 297)
	s.CheckCodes(slices.Collect(maps.Values(codes))...)
	// The outline of a tag stands 2 mm inside of its label and is 0.44 mm wide; the
	// sheet's own labels begin 0.5 mm from its top.
	left, top, right, bottom := s.InkBox()
	for _, side := range []struct{ got, want float64 }{{left, 1.78}, {top, 74.5 + 1.78}, {right, 210 - 1.78}, {bottom, 296.5 - 1.78}} {
		if math.Abs(side.got-side.want) > 0.15 {
			t.Errorf("the ink is %.1f to %.1f mm across, %.1f to %.1f mm down", left, right, top, bottom)
			break
		}
	}

	// The same phone, another day: the paper is remembered, and one tap prints.
	p.Open(batch + "/labels")
	p.WaitForText("A4, 105 × 74 mm", "black only", "Print blanks 7–14")
	own := phonetest.Evaluate[int](p, fmt.Sprintf(`appModule('/labels/labels.js').then(({countOwnNumbers}) => countOwnNumbers(%q.slice(7)))`, batch)) // by which block came first
	p.Fill("How many", strconv.Itoa(own+2))
	p.WaitForText(fmt.Sprintf("This phone has %d numbers left", own), "the others carry this phone’s letter")
	p.Tap(fmt.Sprintf("Print %d now", own))
	p.WaitForPages(fmt.Sprintf("Print blanks 7–%d", own+6))
	s = p.PrintToPDF()
	s.CheckPages((own+7)/8, 210, 297)

	// Tags of a piece, small, on a roll of one's own.
	p.GoTo(batch + "/pieces")
	p.Tap("3 napkins…")
	p.Tap("Print tags for it…")
	p.WaitForText("Print tags 7–9")
	p.Tap("A4, 105 × 74 mm…")
	p.Tap("another size…")
	p.Fill("Width", "40")
	p.Fill("Height", "20")
	p.WaitForPages("The labels have no room for the code")
	p.Fill("Width", "50")
	p.Fill("Height", "25")
	p.Tap("Done")
	p.Tap("Print tags 7–9")
	p.WaitForPages("3 labels printed", "Napkin, wedge", "Don’t reprint")
	s = p.PrintToPDF()
	s.CheckPages(3, 50, 25)
	s.CheckCodes(slices.Collect(maps.Values(p.BlankAddresses(batch, true)))...)
	p.AllowError("ERR_INTERNET_DISCONNECTED")
}

// Labels of bags, of bottles and of the bucket. Only a label that is not printed yet,
// or that does not hold any more, is chosen by itself; printing is recorded, and taken
// back. Near the hub the same labels are saved as a PDF.
func TestPrintsLabels(t *testing.T) {
	t.Parallel()
	need.Programs(t, "pdfinfo", "pdftoppm", "zbarimg")
	p, batch := startWithTwoBags(t)
	p.GoTo(batch + "/labels")
	p.WaitForPages("2 labels to print", "Print 2 labels")
	bags := p.BagAddresses(batch)
	s := p.PrintToPDF()
	s.CheckPages(1, 210, 297)
	s.CheckCodes(bags["1"], bags["2"])
	p.Tap("Bags 1 and 2")
	p.Tap("Bag 1…")
	p.WaitForText("Print the label")
	p.Tap("Print the label")
	p.WaitForText("Label of bag 2 printed", "1 label to print")
	printed := p.RecordedBodies(batch, journal.KindBagPrinted)
	if len(printed) != 1 || printed[0]["sheet"] != "a4-70x37" || !strings.HasSuffix(bags["2"], fmt.Sprint("/B/", printed[0]["code"])) || printed[0]["ready"] == 0. {
		t.Errorf("recorded is %v", printed)
	}
	p.Tap("Undo")
	p.WaitForText("Undone", "2 labels to print")
	p.Tap("Print 2 labels")
	p.WaitForText("2 labels printed", "all printed", "The labels of all bags are printed and up to date")

	// The label of a bag that changed since is chosen again, and says why.
	phonetest.Evaluate[bool](p, fmt.Sprintf(`(async () => {
		const {record} = await appModule('/journal/journal.js'), {loadState} = await appModule('/journal/states.js');
		const scope = %q.slice(1), bag = (await loadState(scope)).bags[0];
		await record([{scope, subject: bag.id, kind: 'bag.changed', body: {pieces: [{piece: bag.pieces[0].piece, count: 1}], celsius: 35}}, {scope, subject: bag.id, kind: 'bag.moved', body: {celsius: 35}}]);
		return true;
	})()`, batch))
	p.WaitForText("1 label to print", "Print the label", "the printed label shows another time")
	p.Audit("a label that does not hold")

	// A piece is put into another bag: the label that was printed leads to the bag that it
	// names, and from there on to the other.
	p.GoTo(bags["1"][strings.Index(bags["1"], "/B/"):])
	p.Tap("Rebag")
	p.Fill("Of 3 napkins, wedge: 1 in this bag", "1")
	p.Audit("into another bag")
	p.Tap("Close bag 3 with it")
	p.WaitForText("Bag 3 closed", "empty: its pieces are in another bag", "pieces were moved into it")
	p.Tap("Bag 3…")
	p.WaitForText("keep wet and warm", "napkin")
	p.Tap("Undo")
	p.WaitForText("Undone")
	p.GoTo(bags["1"][strings.Index(bags["1"], "/B/"):])
	p.WaitForText("keep wet and warm", "Bag 1")

	// Bottles and the bucket.
	p.GoTo(batch + "/jugs")
	p.Tap("Print a label for the bottle…")
	p.WaitForText("Not a drink", "26.2 g/L", "no soda ash in it", "in the eye")
	p.Fill("Bottles of each colour", "3")
	p.WaitForText("Print 3 labels")
	p.GoTo(batch + "/soak")
	p.Tap("Print a label for the bucket…")
	p.WaitForText("What to print", "SODA", "Not a drink", "Harms eyes")

	// As a PDF by the hub: what the screen shows, no more.
	p.GoTo(batch)
	p.GoTo(batch + "/labels")
	p.Tap("A4, 70 × 37 mm…")
	p.Tap("roll, 50 × 30 mm…")
	p.Tap("Done")
	p.Tap("All 2")
	p.WaitForText("Print 2 labels")
	phonetest.Evaluate[bool](p, `{ const real = URL.createObjectURL; URL.createObjectURL = f => { globalThis.saved = f; return real(f); }; true }`)
	p.Tap("PDF to save")
	p.WaitForText("all printed")
	data, err := base64.StdEncoding.DecodeString(phonetest.Evaluate[string](p, `saved.arrayBuffer().then(b => btoa(String.fromCharCode(...new Uint8Array(b))))`))
	if err != nil {
		t.Fatal(err)
	}
	s = phonetest.ReadPDF(t, data)
	s.CheckPages(2, 50, 30)
	var want []string
	for _, x := range p.RecordedBodies(batch, journal.KindBagPrinted) {
		if x["sheet"] == "roll-50x30" {
			want = append(want, bags["1"][:strings.LastIndex(bags["1"], "/")+1]+fmt.Sprint(x["code"]))
		}
	}
	s.CheckCodes(want...)
}

// startWithTwoBags starts a program and a phone that closed bags 1 and 2 of the batch at
// that path.
func startWithTwoBags(t *testing.T) (p *phonetest.Phone, batch string) {
	t.Helper()
	_, p, batch = phonetest.StartPlanned(t)
	p.GoTo(batch + "/bagging")
	for n := range 2 {
		p.Tap(fmt.Sprintf("Close bag %d", n+1))
		p.WaitForText(fmt.Sprintf("Bag %d closed", n+1))
	}
	return p, batch
}
