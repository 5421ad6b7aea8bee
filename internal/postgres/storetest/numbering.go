package storetest

import (
	"fmt"
	"sync"
	"testing"

	"longpoint/internal/account"
	"longpoint/internal/stage"
)

// testNumbering writes to one job from eight hands at once, every third command one that
// the rules refuse, and counts the log.
func testNumbering(t *testing.T) {
	s := setup(t)
	h := s.house()
	const (
		writers = 8
		each    = 30
		before  = 4 // the house's own entries
	)
	var wg sync.WaitGroup
	applied := make([][]int64, writers)
	errs := make([]error, writers)
	for i := range writers {
		wg.Go(func() {
			by := []account.Person{s.rosa, s.lead}[i%2]
			for n := range each {
				c := note(h.door, fmt.Sprintf("Writer %d, note %d.", i, n))
				if n%3 == 2 {
					c = tick(h.door, stage.Painted)
				}
				out, err := s.store.Submit(ctx(t), by.Viewer(), s.command(h.job, c), day)
				if err != nil {
					errs[i] = err
					return
				}
				if out.Applied != (n%3 != 2) {
					errs[i] = fmt.Errorf("command %d: applied is %v", n, out.Applied)
					return
				}
				if out.Applied {
					applied[i] = append(applied[i], out.FirstSeq)
				}
			}
		})
	}
	wg.Wait()
	for i, err := range errs {
		if err != nil {
			t.Fatalf("writer %d: %v", i, err)
		}
	}
	const want = before + writers*each*2/3
	seqs := rows[int64](s, `select seq from entries where job_id = $1 order by seq`, h.job)
	if len(seqs) != want {
		t.Fatalf("entries: want %d, got %d", want, len(seqs))
	}
	for i, seq := range seqs {
		if seq != int64(i)+1 {
			t.Fatalf("entry %d has number %d: a hole", i+1, seq)
		}
	}
	told := map[int64]bool{}
	for i, list := range applied {
		for n, seq := range list {
			if told[seq] {
				t.Errorf("number %d was told twice", seq)
			}
			told[seq] = true
			if n > 0 && seq <= list[n-1] {
				t.Errorf("writer %d was told %d after %d", i, seq, list[n-1])
			}
		}
	}
	if got := value[int64](s, `select count(*) from commands where job_id = $1 and outcome = 'refused'`, h.job); got != writers*each/3 {
		t.Errorf("refused commands kept: want %d, got %d", writers*each/3, got)
	}
	if got := value[int64](s, `select next_seq from jobs where job_id = $1`, h.job); got != want+1 {
		t.Errorf("next number: want %d, got %d", want+1, got)
	}
	sc, err := s.store.Scope(ctx(t), s.lead.Viewer(), h.job, h.door)
	s.must(err)
	if sc.Item.ThroughSeq != want {
		t.Errorf("the item stands at %d, want %d", sc.Item.ThroughSeq, want)
	}
}
