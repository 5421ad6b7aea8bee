package model

import (
	"sync/atomic"
	"time"
)

// day is the morning every story begins on.
var day = time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)

// clock is the true time of a story. It moves when a phone moves it, or by itself, many times
// as fast as ours, where two processes must agree on it.
type clock struct {
	moved atomic.Int64
	began time.Time // of a clock that runs by itself
	speed int64
}

func (c *clock) now() time.Time {
	at := day.Add(time.Duration(c.moved.Load()))
	if c.speed > 0 {
		at = at.Add(time.Since(c.began) * time.Duration(c.speed))
	}
	return at
}

func (c *clock) move(d time.Duration) {
	if c.speed == 0 {
		c.moved.Add(int64(d))
	}
}
