package yard

import (
	"time"

	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// OffcutView is an offcut on the rack, or what is left of a stick on the saw.
type OffcutView struct {
	ID     string        `json:"id" format:"uuid"`
	Stock  joblog.Stock  `json:"stock"`
	Label  string        `json:"label"`
	Length length.Length `json:"length"`
	Text   string        `json:"text"`
	Place  string        `json:"place,omitempty"`
	By     string        `json:"by" format:"uuid"`
	At     time.Time     `json:"at"`
}

// StockLineView is one line of the yard's list as a job sees it.
type StockLineView struct {
	Stock  joblog.Stock `json:"stock"`
	Label  string       `json:"label"`
	Flat   bool         `json:"flat"`
	Offers []OfferView  `json:"offers"`
	Origin Origin       `json:"origin" enum:"job,company,common" doc:"Whose line it is; common where nobody has listed it"`
	Wanted bool         `json:"wanted" doc:"The job has pieces of it"`
}

// OfferView is one length with its print.
type OfferView struct {
	Offer
	Text string `json:"text"`
	Each string `json:"each,omitempty"`
}

// Origin is whose line of the list it is.
type Origin string

// The origins, innermost first.
const (
	OfJob     Origin = "job"
	OfCompany Origin = "company"
	OfCommon  Origin = "common"
)

// RackOf lists a job's rack: the offcuts put by, longest first within their stock.
func RackOf(job *joblog.Job, r joblog.Reader) []OffcutView {
	out := []OffcutView{}
	for i := range job.Rack {
		o := &job.Rack[i]
		v := OffcutView{ID: o.CommandID, Stock: o.Stock, Label: r.StockName(o.Stock), Length: o.Length, Text: o.Length.Print(r.Style),
			Place: o.Place, By: o.PersonID, At: o.At}
		at := len(out)
		out = append(out, v)
		for ; at > 0 && (out[at-1].Label > v.Label || out[at-1].Label == v.Label && out[at-1].Length < v.Length); at-- {
			out[at] = out[at-1]
		}
		out[at] = v
	}
	return out
}

// Lines lists what can be had of every stock the job has pieces of, and what else the lists name.
func Lines(st *joblog.State, company houserules.Set, ours, own List, r joblog.Reader) []StockLineView {
	out := []StockLineView{}
	seen := map[joblog.Stock]bool{}
	add := func(s joblog.Stock, wanted bool) {
		if seen[s] {
			return
		}
		seen[s] = true
		line, _ := Making{Yard: ours, Job: own}.line(s)
		v := StockLineView{Stock: s, Label: r.StockName(s), Flat: line.Flat, Offers: []OfferView{}, Origin: OfCommon, Wanted: wanted}
		for _, l := range ours.Lines {
			if l.Stock == s {
				v.Origin = OfCompany
			}
		}
		for _, l := range own.Lines {
			if l.Stock == s {
				v.Origin = OfJob
			}
		}
		for _, o := range line.Offers {
			ov := OfferView{Offer: o, Text: o.Length.Print(r.Style)}
			if o.Cents >= 0 {
				ov.Each = Money(o.Cents)
			}
			v.Offers = append(v.Offers, ov)
		}
		out = append(out, v)
	}
	for _, s := range st.JobItems(company) {
		c := joblog.CuttingOf(s, r.Now)
		for i := range c.Pieces {
			if kind, ok := stockOf(s.Item, &c.Pieces[i]); ok {
				add(kind, true)
			}
		}
	}
	for _, l := range []List{own, ours} {
		for _, line := range l.Lines {
			add(line.Stock, false)
		}
	}
	return out
}
