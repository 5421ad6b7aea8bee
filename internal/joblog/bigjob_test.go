package joblog_test

import (
	"testing"

	"longpoint/internal/joblog"
	"longpoint/internal/joblog/bigjob"
)

func bigState(t testing.TB) *joblog.State {
	t.Helper()
	log, err := bigjob.Log(bigjob.Openings, bigjob.Rooms)
	if err != nil {
		t.Fatal(err)
	}
	st := joblog.NewState()
	for _, e := range log {
		st.Apply(e)
	}
	return st
}

// TestBigJob holds the size that times are stated for: 60 rooms with 200 openings and three
// runs a room, worked out and not merely listed.
func TestBigJob(t *testing.T) {
	t.Parallel()
	st := bigState(t)
	v := joblog.ViewJob(st, nil, joblog.Reader{Now: bigjob.Now})
	poles, cuts := 0, 0
	for _, r := range v.Rooms {
		poles += len(r.Items)
	}
	for id := range st.Items {
		cuts += len(joblog.ViewItem(st.Scope(nil, joblog.Command{ItemID: id}), joblog.Reader{Now: bigjob.Now}).Cuts)
	}
	if len(v.Rooms) != 60 || poles != 200+3*60 || cuts < 3000 {
		t.Errorf("%d rooms, %d items, %d pieces; want 60, 380 and some thousands", len(v.Rooms), poles, cuts)
	}
}

// BenchmarkViewJob is the full view of the big job. Its aim is under 20 ms natively and under
// 150 ms in the browser, which web/scripts/rulebook-speed.mjs measures.
func BenchmarkViewJob(b *testing.B) {
	st := bigState(b)
	b.ReportAllocs()
	for b.Loop() {
		joblog.ViewJob(st, nil, joblog.Reader{Now: bigjob.Now})
	}
}
