package wire

import (
	"encoding/json"
	"testing"

	"longpoint/internal/joblog"
	"longpoint/internal/joblog/bigjob"
)

func bigBook(b *testing.B) (*Book, string) {
	b.Helper()
	log, err := bigjob.Log(bigjob.Openings, bigjob.Rooms)
	if err != nil {
		b.Fatal(err)
	}
	entries, err := json.Marshal(log)
	if err != nil {
		b.Fatal(err)
	}
	book, in := NewBook(), `{"as":"a","entries":`+string(entries)+`}`
	book.Call("open", `{"as":"a"}`)
	book.Call("apply", in)
	if book.open["a"].st.Seq != int64(len(log)) {
		b.Fatal("the log was not applied")
	}
	return book, in
}

// BenchmarkWriteJobView is the big job's view as JSON, without working it out.
func BenchmarkWriteJobView(b *testing.B) {
	book, _ := bigBook(b)
	v := joblog.ViewJob(book.open["a"].st, nil, joblog.Reader{Now: bigjob.Now})
	b.ReportAllocs()
	for b.Loop() {
		c := newWriter(4096)
		joblogJobView(c, &v)
		b.SetBytes(int64(len(c.w.buf)))
	}
}

// BenchmarkReadLog is the big job's log from JSON, some 4500 entries.
func BenchmarkReadLog(b *testing.B) {
	_, in := bigBook(b)
	b.SetBytes(int64(len(in)))
	b.ReportAllocs()
	for b.Loop() {
		var q request
		if err := q.read(in); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkReadLogEncodingJSON is the same with encoding/json.
func BenchmarkReadLogEncodingJSON(b *testing.B) {
	_, in := bigBook(b)
	b.SetBytes(int64(len(in)))
	for b.Loop() {
		var q struct{ Entries []joblog.Entry }
		if err := json.Unmarshal([]byte(in), &q); err != nil {
			b.Fatal(err)
		}
	}
}
