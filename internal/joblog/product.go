package joblog

import (
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/stage"
)

// SetProduct writes a product's sheet into the job, or a better one in its place. What was
// logged with the product is judged by the sheet as it now stands.
type SetProduct struct {
	ProductID string `json:"product_id" format:"uuid" doc:"Made by the device that first enters it"`
	finish.Product
	Gone bool `json:"gone,omitempty" doc:"No longer offered for new work; what was logged with it keeps its sheet"`
}

// SetClimate says between which airs the seasons take the finished rooms: of the room
// RoomID, else of the whole job. None takes it back.
type SetClimate struct {
	Climate *finish.Climate `json:"climate,omitempty"`
}

// Used is what was used of the job's products, and the air it went on in.
type Used struct {
	ProductID string `json:"product_id,omitempty" format:"uuid" doc:"A product of the job, whose sheet then counts"`
	finish.Weather
}

// Product is a product of the job.
type Product struct {
	SetProduct
	Seq int64 `json:"seq" doc:"Log number of its sheet as it stands"`
}

// mostProducts bounds what a job carries to every phone.
const mostProducts = 200

// product returns the job's product of that id, or nil.
func (j *Job) product(id string) *Product {
	if j == nil || id == "" {
		return nil
	}
	for i := range j.Products {
		if j.Products[i].ProductID == id {
			return &j.Products[i]
		}
	}
	return nil
}

// setProduct keeps a product's place in the list when its sheet changes. The list is made
// anew, so that a view made before keeps its own.
func (j *Job) setProduct(b SetProduct, seq int64) {
	list := append(make([]Product, 0, len(j.Products)+1), j.Products...)
	for i := range list {
		if list[i].ProductID == b.ProductID {
			list[i] = Product{b, seq}
			j.Products = list
			return
		}
	}
	j.Products = append(list, Product{b, seq})
}

// checkProduct refuses a sheet that cannot be, and one that makes another kind of thing of
// a product that may have been used.
func checkProduct(s Scope, b SetProduct) []finding.Finding {
	old := s.Job.product(b.ProductID)
	switch {
	case old == nil && len(s.Job.Products) >= mostProducts:
		return []finding.Finding{finding.New("too_many_products", finding.Stop).Num("most", mostProducts)}
	case old != nil && old.Kind != b.Kind:
		return []finding.Finding{finding.New("product_wrong_kind", finding.Stop).Text("product", old.Name).Term("kind", "product_"+string(old.Kind))}
	}
	return finish.CheckProduct(b.Product)
}

// checkClimate refuses air that cannot be. That it is beyond the tables is only told.
func checkClimate(b SetClimate) []finding.Finding {
	if b.Climate == nil {
		return nil
	}
	_, fs := finish.MoistureChange(*b.Climate)
	return fs
}

// checkUsed refuses a product the job does not have or that is for something else, and air
// that cannot be.
func checkUsed(s Scope, u Used, kind finish.ProductKind) []finding.Finding {
	fs := finish.CheckWeather(u.Weather)
	if u.ProductID == "" {
		return fs
	}
	p := s.Job.product(u.ProductID)
	switch {
	case p == nil:
		return append(fs, finding.New("product_gone", finding.Stop))
	case p.Kind != kind:
		return append(fs, finding.New("product_wrong_kind", finding.Stop).Text("product", p.Name).Term("kind", "product_"+string(p.Kind)))
	}
	return fs
}

// treatedWith is the kind of product a treatment of holes takes.
func treatedWith(t finish.Treatment) finish.ProductKind {
	switch t {
	case finish.Caulk:
		return finish.CaulkProduct
	case finish.Putty:
		return finish.PuttyProduct
	}
	return finish.FillerProduct
}

// laid is what a log entry put on, with the sheet of the product it names.
func (a *assessment) laid(entry string, at time.Time, u Used) finish.Laid {
	l := finish.Laid{Entry: entry, At: at, Weather: u.Weather}
	if p := a.job.product(u.ProductID); p != nil {
		l.Product, l.Sheet = p.Name, p.Sheet
	}
	return l
}

// climate is the seasons' air of the item's room, else of its job, and where it was set.
func (s Scope) climate() (*finish.Climate, string) {
	if s.Room != nil && s.Room.Climate != nil {
		return s.Room.Climate, "room"
	}
	if s.Job != nil && s.Job.Climate != nil {
		return s.Job.Climate, "job"
	}
	return nil, ""
}

// tooCold says what went on in air colder than its sheet allows.
func (a *assessment) tooCold(l finish.DryLog) []finding.Finding {
	fills := make([]finish.Laid, len(l.Filled))
	for i, f := range l.Filled {
		fills[i] = f.Laid
	}
	out := finish.CheckLaid(stage.Filled, append(fills, l.Puttied...))
	out = append(out, finish.CheckLaid(stage.Caulked, l.Caulked)...)
	return append(out, finish.CheckLaid(stage.Painted, l.Coated)...)
}
