package forecast

import "time"

const day = 24 * 60 // minutes

// Hours are when the crew works, by the clock of the start's own time zone.
type Hours struct {
	From, To int     // minutes from midnight; a day without any time between counts as the whole day
	Days     [7]bool // Sunday first, as time.Weekday counts; none set counts as all
}

// Usual is what a forecast takes where nobody said otherwise: Monday to Friday, 7:30 to
// 15:30. An assumption.
var Usual = Hours{From: 7*60 + 30, To: 15*60 + 30, Days: [7]bool{false, true, true, true, true, true, false}}

// clock counts minutes on the wall from a start.
type clock struct {
	start    time.Time
	midnight float64 // minutes from the start's midnight to the start
	weekday  int
	from, to float64
	days     [7]bool
}

func (h Hours) clock(start time.Time) clock {
	c := clock{start: start, weekday: int(start.Weekday()), from: float64(h.From), to: float64(h.To), days: h.Days}
	c.midnight = float64(start.Hour()*60+start.Minute()) + float64(start.Second())/60
	if h.From < 0 || h.To > day || h.From >= h.To {
		c.from, c.to = 0, day
	}
	if c.days == [7]bool{} {
		c.days = [7]bool{true, true, true, true, true, true, true}
	}
	return c
}

// work returns the minute at which so many minutes of work, begun no earlier than at, end.
func (c clock) work(at, minutes float64) float64 {
	at += c.midnight
	for d := int(at / day); ; d++ {
		if !c.days[(c.weekday+d)%7] {
			continue
		}
		begin := max(at, float64(d*day)+c.from)
		left := float64(d*day) + c.to - begin
		if left < 0 || (left == 0 && minutes > 0) {
			continue
		}
		if minutes <= left {
			return begin + minutes - c.midnight
		}
		minutes -= left
	}
}

// opens returns the first minute from at on that is worked.
func (c clock) opens(at float64) float64 {
	at += c.midnight
	for d := int(at / day); ; d++ {
		begin := max(at, float64(d*day)+c.from)
		if c.days[(c.weekday+d)%7] && begin < float64(d*day)+c.to {
			return begin - c.midnight
		}
	}
}

// moment is a minute on the wall as a time. A day is 24 hours long here, so a change of the
// clock in between may shift it by an hour; the date is what it is read for.
func (c clock) moment(minute float64) time.Time {
	return c.start.Add(time.Duration(minute * float64(time.Minute)))
}
