package yard_test

import (
	"context"
	"errors"
	"maps"
	"slices"
	"sync"
	"testing"
	"time"

	"longpoint/internal/joblog"
	"longpoint/internal/joblog/bigjob"
	"longpoint/internal/length"
	"longpoint/internal/yard"
)

var bigLog = sync.OnceValues(func() ([]joblog.Entry, error) { return bigjob.Log(bigjob.Openings, bigjob.Rooms) })

// sixtyRooms is the invented job of sixty rooms, its yard listing every stock it takes.
func sixtyRooms(tb testing.TB) yard.Making {
	log, err := bigLog()
	if err != nil {
		tb.Fatal(err)
	}
	st := joblog.NewState()
	for _, e := range log {
		st.Apply(e)
	}
	m := yard.Making{State: st, Ask: yard.Ask{Nest: true}, Now: bigjob.Now, NewID: newID, Clock: time.Now}
	for i, l := range yard.Lines(st, nil, yard.List{}, yard.List{}, reader) {
		line := yard.Line{Stock: l.Stock, Flat: l.Flat}
		for k, o := range l.Offers { // a longer stick costs a little more the foot: invented
			line.Offers = append(line.Offers, yard.Offer{Length: o.Length, Cents: int64(o.Length/length.Foot)*int64(140+17*i) + int64(60*k), Limit: yard.NoLimit})
		}
		m.Yard.Lines = append(m.Yard.Lines, line)
	}
	return m
}

func TestAHouseOfSixtyRooms(t *testing.T) {
	t.Parallel()
	m := sixtyRooms(t)
	ctx, stop := context.WithTimeout(context.Background(), yard.MostSeconds*time.Second)
	defer stop()
	began := time.Now()
	p, err := yard.Make(ctx, m)
	if err != nil {
		t.Fatal(err)
	}
	took := time.Since(began)
	(&house{t: t, state: m.State}).check(p)
	pieces, proven := 0, 0
	for _, sp := range p.Stocks {
		for _, c := range sp.Pieces {
			pieces += c.Copies
		}
		if sp.Optimal {
			proven++
		}
		t.Logf("%s %s: %d pieces, %d sticks, proven %v, %d ms %s", sp.Stock.Kind, sp.Stock.Name, len(sp.Pieces), len(sp.Sticks), sp.Optimal, sp.Millis, sp.Sentence)
	}
	if pieces < 800 {
		t.Errorf("got %d pieces, want a house of 60 rooms", pieces)
	}
	if p.Stocks[0].Millis <= 0 {
		t.Errorf("planning %d pieces is said to have taken %d ms", len(p.Stocks[0].Pieces), p.Stocks[0].Millis)
	}
	if took > yard.MostSeconds*time.Second+3*time.Second {
		t.Errorf("it took %v of the %d s there are", took, yard.MostSeconds)
	}
	t.Logf("%d pieces of %d profiles in %.2f s, %d proven, %d left out", pieces, len(p.Stocks), took.Seconds(), proven, len(p.LeftOut))
}

// More than is planned at once is an answer, not a wait: the same house three times over.
func TestMoreThanIsPlannedAtOnce(t *testing.T) {
	t.Parallel()
	m := sixtyRooms(t)
	for range 2 {
		for _, it := range slices.Collect(maps.Values(m.State.Items)) {
			again := *it
			again.ID = newID()
			m.State.Items[again.ID] = &again
		}
	}
	if p, err := yard.Make(context.Background(), m); !errors.Is(err, yard.ErrTooMany) {
		t.Errorf("got %d stocks and %v, want ErrTooMany", len(p.Stocks), err)
	}
}
