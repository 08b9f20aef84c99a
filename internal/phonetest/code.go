//go:build unix

package phonetest

import (
	"bytes"
	"context"
	"fmt"
	"image"
	_ "image/png"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// ReadCode reads the QR code that a selector shows, from a picture of the screen and
// by a reader that is not ours, as a phone's camera would.
func (p *Phone) ReadCode(selector string) string {
	p.T.Helper()
	p.WaitFor("a code on the screen", `document.querySelector('`+selector+` path')?.getBBox().width`)
	p.Scroll(`document.querySelector('` + selector + `').scrollIntoView({block: 'center', behavior: 'instant'})`)
	var picture []byte
	p.Run(func(ctx context.Context) (err error) {
		picture, err = chromedp.Run(ctx, chromedp.ScreenshotScale(chromedp.CSS(selector), 2))
		return err
	})
	img, _, err := image.Decode(bytes.NewReader(picture))
	if err != nil {
		p.T.Fatal(err)
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		p.T.Fatal(err)
	}
	got, err := qrcode.NewQRCodeReader().Decode(bits, nil)
	if err != nil {
		p.T.Fatalf("the code on the screen is not read: %v", err)
	}
	return got.GetText()
}

// PathOf returns the path of a label's address, which begins with /B/.
func PathOf(t *testing.T, address string) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil || strings.ToUpper(address) != address || !strings.HasPrefix(u.Path, "/B/") {
		t.Fatalf("%q is not the address of a label: %v", address, err)
	}
	return u.Path
}

// BagAddresses returns what the codes on the labels of a batch's bags say, by number.
func (p *Phone) BagAddresses(path string) map[string]string {
	p.T.Helper()
	return Evaluate[map[string]string](p, fmt.Sprintf(`appModule('/journal/views.js').then(async ({batchView}) =>
		Object.fromEntries((await batchView(%q.slice(7))).bags.map(b => [b.number, b.address])))`, path))
}

// BlankAddresses returns what the codes of a batch's blanks say, or with tags those of
// the tags of its pieces, by number.
func (p *Phone) BlankAddresses(path string, tags bool) map[string]string {
	p.T.Helper()
	return Evaluate[map[string]string](p, fmt.Sprintf(`(async () => {
		const {call} = await appModule('/core/core.js'), {loadState} = await appModule('/journal/states.js'), {coreEnv} = await appModule('/journal/env.js');
		const all = await call('blanks.view', {state: await loadState(%q.slice(1)), env: await coreEnv(), tags: %t});
		return Object.fromEntries(all.map(b => [b.number, b.address]));
	})()`, path, tags))
}
