//go:build unix

package bags_test

import (
	"testing"

	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// From an empty app to the first printed label a hand taps at most 12 times and types at most 3 values; to a sum's
// answer it taps at most 3 times, and the answer is in view above the phone's keyboard as one types.
func TestFewTapsFromNothing(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p := phonetest.Start(t)
	p.SetAppearance("light", 360, 640, 16)
	p.WaitForText("Start a batch")
	p.Taps, p.Typed = 0, 0
	p.Tap("New batch")
	p.Tap("Start the batch")
	p.Tap("Tee, medium")
	p.Tap("Add 1 to the batch")
	p.Tap("Choose the colours")
	p.Tap("rust")
	p.Fill("Strength at full depth", "26 g/L")
	p.Tap("Add rust")
	p.WaitForText("26 g/L")
	p.CheckFocus("after a sheet closed")
	p.Tap(phonetest.Evaluate[string](p, `document.querySelector('.back').innerText.trim()`))
	p.Tap("Dye and bag…")
	p.Tap("Close bag 1")
	p.Tap("Print label")
	p.WaitForPages("1 label to print")
	p.Tap("Print the label")
	p.WaitForText("Label of bag 1 printed")
	p.CheckPrints(1)
	if p.Taps > 12 || p.Typed > 3 {
		t.Errorf("the first label took %d taps and %d typed values", p.Taps, p.Typed)
	}
	t.Logf("the first label took %d taps and %d typed values", p.Taps, p.Typed)

	p.GoTo("/")
	p.Taps, p.Typed = 0, 0
	p.Tap("Sums")
	p.Tap("Dye for a bottle…")
	p.Fill("Strength", "6.2 g per 8 fl oz")
	p.Fill("Volume in each bottle", "2 fl oz")
	p.WaitFor("the answer", `/1\.55/.test(document.querySelector('.answer-line').innerText)`)
	if p.Taps > 3 {
		t.Errorf("a sum's answer took %d taps", p.Taps)
	}
	t.Logf("a sum's answer took %d taps and %d typed values", p.Taps, p.Typed)
	// 260 px is the height of a keyboard on a phone of 640.
	seen := phonetest.Evaluate[bool](p, `(() => {
		const answer = document.querySelector('.answer-line').getBoundingClientRect(), field = document.activeElement.getBoundingClientRect();
		const over = document.elementFromPoint(answer.x + answer.width / 2, answer.y + answer.height / 2);
		return document.activeElement.matches('input') && answer.top >= 0 && answer.bottom < 640 - 260 && field.top >= answer.bottom - 1 && Boolean(over.closest('.answer-line'));
	})()`)
	if !seen {
		t.Error("the answer is not in view while its last value is typed")
	}
	picture(p, "sum-answer")
}
