package wire

import "time"

// time writes RFC 3339 with the fraction's zeros left off, in the time's own zone.
func (w *writer) time(t time.Time) {
	_, offset := t.Zone()
	year, month, day := t.Date()
	hour, minute, second := t.Clock()
	if year < 0 || year > 9999 || offset <= -24*3600 || offset >= 24*3600 {
		w.err = "a time is outside the years 0 to 9999"
		return
	}
	b := append(w.buf, '"', byte('0'+year/1000), byte('0'+year/100%10))
	b = append(two(b, year%100), '-')
	b = append(two(b, int(month)), '-')
	b = append(two(b, day), 'T')
	b = append(two(b, hour), ':')
	b = append(two(b, minute), ':')
	b = two(b, second)
	if nano := t.Nanosecond(); nano > 0 {
		b = append(b, '.')
		for unit := 100_000_000; nano > 0; unit /= 10 {
			b = append(b, byte('0'+nano/unit))
			nano %= unit
		}
	}
	switch minutes := offset / 60; {
	case offset == 0:
		b = append(b, 'Z')
	case minutes < 0:
		b = two(append(two(append(b, '-'), -minutes/60), ':'), -minutes%60)
	default:
		b = two(append(two(append(b, '+'), minutes/60), ':'), minutes%60)
	}
	w.buf = append(b, '"')
}

func two(b []byte, n int) []byte { return append(b, byte('0'+n/10), byte('0'+n%10)) }

// time reads RFC 3339 as strictly as time.Time reads JSON.
func (r *reader) time(was time.Time) time.Time {
	if r.null() {
		return was
	}
	s := r.quoted()
	t, ok := parseTime(s)
	if !ok {
		r.fail("a time such as 2026-03-12T09:00:00Z belongs here")
		return was
	}
	return t
}

func parseTime(s string) (time.Time, bool) {
	const date = "2006-01-02T15:04:05"
	if len(s) <= len(date) {
		return time.Time{}, false
	}
	n := [...]int{number(s[0:4]), number(s[5:7]), number(s[8:10]), number(s[11:13]), number(s[14:16]), number(s[17:19])}
	for _, v := range n {
		if v < 0 {
			return time.Time{}, false
		}
	}
	if s[4] != '-' || s[7] != '-' || s[10] != 'T' || s[13] != ':' || s[16] != ':' ||
		n[1] < 1 || n[1] > 12 || n[2] < 1 || n[2] > days(n[0], n[1]) || n[3] > 23 || n[4] > 59 || n[5] > 59 {
		return time.Time{}, false
	}
	s = s[len(date):]
	nano := 0
	if s[0] == '.' {
		i := 1
		for unit := 100_000_000; i < len(s) && s[i]-'0' <= 9; i++ {
			nano += unit * int(s[i]-'0')
			unit /= 10
		}
		if i == 1 {
			return time.Time{}, false
		}
		s = s[i:]
	}
	if s == "Z" {
		return time.Date(n[0], time.Month(n[1]), n[2], n[3], n[4], n[5], nano, time.UTC), true
	}
	if len(s) != len("+07:00") || s[0] != '+' && s[0] != '-' || s[3] != ':' {
		return time.Time{}, false
	}
	hours, minutes := number(s[1:3]), number(s[4:6])
	if hours < 0 || hours > 23 || minutes < 0 || minutes > 59 {
		return time.Time{}, false
	}
	offset := (hours*60 + minutes) * 60
	if s[0] == '-' {
		offset = -offset
	}
	return time.Date(n[0], time.Month(n[1]), n[2], n[3], n[4], n[5], nano, time.FixedZone("", offset)), true
}

// number is the value of s when it is all digits, else -1.
func number(s string) int {
	v := 0
	for i := range len(s) {
		d := s[i] - '0'
		if d > 9 {
			return -1
		}
		v = v*10 + int(d)
	}
	return v
}

// days is the length of a month in the Gregorian calendar.
func days(year, month int) int {
	switch {
	case month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0):
		return 29
	case month == 2:
		return 28
	case month == 4 || month == 6 || month == 9 || month == 11:
		return 30
	}
	return 31
}
