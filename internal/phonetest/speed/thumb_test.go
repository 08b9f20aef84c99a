//go:build unix

package speed_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/phonetest"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/tracing"
	"github.com/chromedp/chromedp"
)

// Bounds while a thumb drags on a design, at this computer's own speed.
const (
	frameLimit   = 16  // ms of the processor that a task of the page's thread may take
	pictureLimit = 33  // ms from the request until the pixels are on the page's side, where the loop takes calibrationMS
	screenSize   = 384 // pixels along a side of the pictures on the screen; larger ones are only measured
	// calibrationMS is what the loop in measurePictures takes at 4 GHz: a round waits about 25 cycles.
	calibrationMS = 25
)

// measurePictures asks for pictures at a size, each with another amount of dye, and returns the shortest time of one,
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

// A picture after a change of dye is there within a thirtieth of a second, and no frame of the page waits while a
// thumb drags: no task of its thread takes longer than one. A task is counted in time of the processor, which other
// work on the machine does not change; pictures are judged in the long run, when nothing else is at work.
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
			if ratio > 1 && isLong && size == screenSize {
				t.Errorf("%s at %d pixels takes %.1f ms beside %.1f ms for the loop", name, size, best.Picture, best.Loop)
			}
		}
	}

	p.Open("/fold/start/Snail%20shell")
	p.WaitForText("White inside", "Side A", "about")
	p.WaitFor("the fine picture", `document.querySelector('canvas').width === 384`)
	var line [][2]float64
	for i := range 60 {
		line = append(line, [2]float64{0.2 + 0.01*float64(i), 0.5})
	}
	const settleTime = 600 * time.Millisecond
	for _, drag := range []struct{ what, selector string }{
		{"the amount of dye", `input[type=range][max="20"]`}, {"the turns", `input[type=range][max="4"]`},
		{"over the bundle", ".bundle"}, {"the centre", ".center-handle"},
	} {
		longest := math.Inf(1)
		for range 3 { // of which the best counts: on a busy machine a task finds nothing in the processor's cache
			tasks := traceTasks(p, func() {
				p.Draw(drag.selector, line...)
				time.Sleep(settleTime)
			})
			if len(tasks) < len(line) {
				t.Fatalf("dragging %s made only %d tasks", drag.what, len(tasks))
			}
			longest = min(longest, slices.Max(tasks))
		}
		t.Logf("%-18s the longest task of the page's thread takes %.1f ms of the processor", drag.what, longest)
		if longest > frameLimit {
			t.Errorf("dragging %s: a task takes %.1f ms of the processor, %d at most", drag.what, longest, frameLimit)
		}
	}
}

// traceTasks returns the ms of the processor that each task of the page's thread takes while act runs.
func traceTasks(p *phonetest.Phone, act func()) (ms []float64) {
	p.T.Helper()
	type traced struct {
		Name, Ph string
		Tdur     float64 // µs
		Pid, Tid int
		Args     struct{ Name string }
	}
	type thread struct{ process, thread int }
	var tasks []traced
	main := map[thread]bool{}
	p.Run(func(ctx context.Context) error {
		ctx, stop := context.WithCancel(ctx)
		defer stop()
		ended := make(chan struct{})
		chromedp.Listen(ctx, func(event any) {
			switch e := event.(type) {
			case *tracing.EventDataCollected:
				for _, value := range e.Value {
					var x traced
					if json.Unmarshal([]byte(value), &x) != nil {
						continue // an event whose arguments are of another kind
					}
					switch {
					case x.Name == "thread_name" && x.Args.Name == "CrRendererMain":
						main[thread{x.Pid, x.Tid}] = true
					case x.Name == "RunTask" && x.Ph == "X":
						tasks = append(tasks, x)
					}
				}
			case *tracing.EventTracingComplete:
				close(ended)
			}
		})
		config := &tracing.TraceConfig{IncludedCategories: []string{"devtools.timeline", "disabled-by-default-devtools.timeline", "__metadata"}}
		if _, err := chromedp.Call(ctx, tracing.Start, tracing.StartParams{TraceConfig: config}); err != nil {
			return err
		}
		act()
		if _, err := chromedp.Call(ctx, tracing.End, cdp.Empty{}); err != nil {
			return err
		}
		select {
		case <-ended:
			return nil
		case <-time.After(hubtest.WaitTimeout):
			return errors.New("the trace does not end")
		}
	})
	for _, x := range tasks {
		if main[thread{x.Pid, x.Tid}] {
			ms = append(ms, x.Tdur/1000)
		}
	}
	return ms
}
