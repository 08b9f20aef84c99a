//go:build unix

package screens_test

import (
	"testing"
	"time"

	"coldbatch/internal/phonetest"
)

// A button for more that is held down goes on by itself, and stops when the finger is lifted:
// that lift is no step of its own, and the next tap is one step.
func TestHeldStepperRepeats(t *testing.T) {
	t.Parallel()
	_, p, base := phonetest.StartPlanned(t)
	p.GoTo(base + "/soak")
	water := func() float64 { // once the page has drawn what was touched
		return phonetest.Evaluate[float64](p, `(async () => {
			for (let i = 0; i < 3; i++) await new Promise(requestAnimationFrame);
			return Number(document.querySelector('.stepper input').value);
		})()`)
	}
	p.Tap("Water: more")
	p.Tap("Water: less")
	first := water()
	p.Tap("Water: more")
	step := water() - first
	p.Hold("Water: more", 2*time.Second)
	held := water()
	if n := (held - first) / step; n < 2 { // 13 on a machine that has nothing else to do
		t.Errorf("held for 2 s it went %.0f steps", n)
	}
	time.Sleep(500 * time.Millisecond)
	if now := water(); now != held {
		t.Errorf("after the finger was lifted it went on from %g to %g", held, now)
	}
	p.Tap("Water: more")
	if now := water(); now < held+step*.9 || now > held+step*1.1 {
		t.Errorf("a tap after that went from %g to %g, by %g before", held, now, step)
	}
	p.Fill("Water", "30") // the name of the field ends with its unit
}
