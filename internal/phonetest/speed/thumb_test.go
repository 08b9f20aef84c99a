//go:build unix

package speed_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/phonetest"
)

// Bounds while a thumb drags on a design, at this computer's own speed.
const (
	frameLimit   = 16 // ms that the page's thread may be held at once
	pictureLimit = 33 // ms from the request until the pixels are on the page's side, where the loop takes calibrationMS
	// calibrationMS is what the loop in measurePictures takes at 4 GHz: a round waits about 25 cycles.
	calibrationMS = 25
)

// watchThread has the page wake every few ms and note how long it slept: what is more than usual, its thread was held.
const watchThread = `{
	let gaps = [], last = performance.now();
	const channel = new MessageChannel();
	channel.port1.onmessage = () => {
		const now = performance.now();
		gaps.push(now - last);
		last = now;
		setTimeout(() => channel.port2.postMessage(0));
	};
	globalThis.takeGaps = () => gaps.splice(0).sort((a, b) => a - b);
	channel.port2.postMessage(0);
}`

// measurePictures asks for pictures at a size, each with another amount of dye, and gives the shortest time of one,
// and of the calibration loop between them.
const measurePictures = `(async (name, size) => {
	const {callExtra, callExtraWithBytes} = await appModule('/core/extra.js');
	const design = (await callExtra('fold.choices', {})).starters.find((d) => d.name === name);
	const loop = () => {
		let sum = 0;
		for (let i = 0; i < 4e6; i++) sum += Math.sqrt(i) / (1 + sum * 1e-9);
		return sum;
	};
	const time = async (act) => { const from = performance.now(); await act(); return performance.now() - from; };
	const best = {picture: Infinity, loop: Infinity};
	for (let i = 0; i < 40; i++) {
		best.loop = Math.min(best.loop, await time(loop));
		const request = {design, results: [], size, factor: 0.8 + 0.01 * i};
		best.picture = Math.min(best.picture, await time(() => callExtraWithBytes('fold.draw', request)));
	}
	return best;
})`

// A picture after a change of dye is there within a third of a tenth of a second, and no frame of the page waits while a
// thumb drags. Figures are printed; they are judged in the long run, when nothing else is at work.
func TestThumb(t *testing.T) {
	needQuiet(t)
	p := phonetest.NewPhoneIn(t, phonetest.PlainBrowser(t), hubtest.Start(t).URL())
	p.Open("/")
	p.WaitForInstall()
	for _, name := range []string{"Snail shell", "Pond rings", "Dry leaves"} {
		for _, size := range []int{384, 512} {
			best := phonetest.Evaluate[struct{ Picture, Loop float64 }](p, fmt.Sprintf("%s(%q, %d)", measurePictures, name, size))
			ratio := best.Picture / best.Loop * calibrationMS / pictureLimit
			t.Logf("%-12s %d pixels: %.1f ms beside %.1f ms for the loop: %.2f of what it may take", name, size, best.Picture, best.Loop, ratio)
			if ratio > 1 && isLong {
				t.Errorf("%s at %d pixels takes %.1f ms beside %.1f ms for the loop", name, size, best.Picture, best.Loop)
			}
		}
	}

	p.Open("/fold/start/Snail%20shell")
	p.WaitForText("White inside", "Side A")
	p.WaitFor("the fine picture", `document.querySelector('canvas').width === 384`)
	phonetest.Evaluate[int](p, `(() => { document.querySelector('.slide input').scrollIntoView({block: 'center'}); return 1; })()`)
	phonetest.Evaluate[int](p, `(() => { `+watchThread+`; return 1; })()`)
	var line [][2]float64
	for i := range 60 {
		line = append(line, [2]float64{0.2 + 0.01*float64(i), 0.5})
	}
	const rounds = 5 // of which the best counts: what else is at work on the machine holds a thread, too
	usual := 0.
	held := func(act func()) float64 {
		best := math.Inf(1)
		for range rounds {
			phonetest.Evaluate[[]float64](p, `new Promise((done) => setTimeout(() => done(takeGaps()), 500))`) // what settles
			act()
			gaps := phonetest.Evaluate[[]float64](p, `takeGaps()`)
			if usual == 0 {
				usual = gaps[len(gaps)/2]
			}
			best = min(best, gaps[len(gaps)-1]-usual)
		}
		return best
	}
	idle := held(func() { time.Sleep(time.Second) })
	t.Logf("%-18s the page's thread is held %.1f ms at most, besides the usual %.1f ms", "idle", idle, usual)
	for _, drag := range []struct{ what, selector string }{
		{"the amount of dye", `input[type=range][max="20"]`}, {"the turns", `input[type=range][max="4"]`},
		{"over the bundle", ".bundle"}, {"the centre", ".center-handle"},
	} {
		got := held(func() { p.Draw(drag.selector, line...) })
		t.Logf("%-18s the page's thread is held %.1f ms at most", drag.what, got)
		if got > max(idle, 0)+frameLimit && isLong {
			t.Errorf("dragging %s holds the page's thread for %.1f ms, %.1f ms when idle", drag.what, got, idle)
		}
	}
}
