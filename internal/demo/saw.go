package demo

import (
	"context"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
	"longpoint/internal/yard"
)

// rack is what lies in the garage from the other rooms.
func (s *script) rack() {
	for _, o := range []struct {
		casing *trim.Casing
		long   length.Length
		place  string
	}{{mitered(), length.In(63, 1, 2), "garage, left of the door"}, {square(), length.In(41, 0, 0), "garage, left of the door"}} {
		s.item = ""
		s.give("tess", joblog.Command{Kind: joblog.ReturnOffcutKind, ReturnOffcut: &joblog.ReturnOffcut{Stock: casingStock(o.casing), Length: o.long, Place: o.place}})
	}
}

func casingStock(c *trim.Casing) joblog.Stock {
	return joblog.Stock{Kind: "casing", Name: c.Profile, Material: c.Material, Width: c.Width, Thickness: c.Thickness, Grade: trim.Paint}
}

// Yard is what the invented lumber yard sells to the invented company. Prices are invented.
func Yard() yard.List {
	line := func(s joblog.Stock, flat bool, cents ...int64) yard.Line {
		l := yard.Line{Stock: s, Flat: flat}
		for i, c := range cents {
			l.Offers = append(l.Offers, yard.Offer{Length: length.Length(8+2*i) * length.Foot, Cents: c, Limit: yard.NoLimit})
		}
		return l
	}
	return yard.List{Lines: []yard.Line{
		line(casingStock(square()), true, 1488, 1875, 2260, 2690, 3120),
		line(casingStock(mitered()), false, 824, 1040, 1255, 1490, 1712),
		line(joblog.Stock{Kind: "base", Name: "poplar base 7 1/4", Material: "wood", Width: in(7, 1, 4), Thickness: in(0, 3, 4), Grade: trim.Paint}, false,
			2399, 3010, 3690, 4340, 5005),
		line(joblog.Stock{Kind: "base", Name: "flat base 5 1/4", Material: "mdf", Width: in(5, 1, 4), Thickness: in(0, 9, 16), Grade: trim.Paint}, true,
			1099, 1380, 1640, 1925, 2190),
		line(joblog.Stock{Kind: "shoe", Name: "shoe 1/2 × 3/4", Material: "wood", Width: in(0, 3, 4), Thickness: in(0, 1, 2), Grade: trim.Paint}, false,
			399, 510, 620, 735, 860),
		line(joblog.Stock{Kind: "crown", Name: "cove crown 3 5/8", Material: "wood", Width: in(3, 5, 8), Thickness: in(0, 5, 8), Grade: trim.Paint}, false,
			1610, 2035, 2440), // no longer: the long walls are joined
	}}
}

// Plans is where the yard's list and a job's plan are kept.
type Plans interface {
	SetStockList(ctx context.Context, v account.Viewer, job string, list yard.List) error
	KeepStockPlan(ctx context.Context, v account.Viewer, job string, plan yard.Plan) error
}

// planTime is how long the invented house's plan may take: it is proven long before.
const planTime = 2 * time.Second

// plan lists the yard and makes the plan the job works from.
func plan(ctx context.Context, store Plans, lead account.Viewer, st *joblog.State, now time.Time) error {
	if err := store.SetStockList(ctx, lead, "", Yard()); err != nil {
		return err
	}
	within, stop := context.WithTimeout(ctx, planTime)
	defer stop()
	p, err := yard.Make(within, yard.Making{State: st, Yard: Yard(), Ask: yard.Ask{Nest: true}, By: lead.PersonID, Now: now,
		NewID: newID, Clock: time.Now})
	if err != nil {
		return err
	}
	return store.KeepStockPlan(ctx, lead, st.Job.ID, p)
}
