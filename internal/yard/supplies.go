package yard

import (
	"strconv"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// SupplyView is something to have beside the sticks.
type SupplyView struct {
	Label  string `json:"label"`
	Amount string `json:"amount"`
	Basis  string `json:"basis"`
}

// nailSpacing is how far apart casing is nailed along either edge (common practice).
const nailSpacing = 16 * length.Inch

// supplies counts what the planned pieces take: caulk, adhesive, nails and the filler for their
// holes, and the blocks that are no stick.
func (v *viewer) supplies(p Plan, company houserules.Set) []SupplyView {
	rules := jobRules(v.state, company)
	var caulk, glue []finish.Bead
	var nails []finish.Fastener
	drive := func(k finish.Kind, l length.Length, n int, w finish.Where) {
		for ; n > finish.MostFasteners; n -= finish.MostFasteners {
			nails = append(nails, finish.Fastener{Kind: k, Length: l, Count: finish.MostFasteners, Where: w})
		}
		if n > 0 {
			nails = append(nails, finish.Fastener{Kind: k, Length: l, Count: int64(n), Where: w})
		}
	}
	bead := func(run length.Length) finish.Bead {
		return finish.Bead{Section: finish.Fillet, Width: length.Eighth, Depth: length.Eighth, Run: run}
	}
	seen := map[[2]string]bool{}
	for i := range p.Stocks {
		sp := &p.Stocks[i]
		for k := range sp.Pieces {
			c := &sp.Pieces[k]
			if seen[[2]string{c.ItemID, c.Piece}] && c.Parts > 0 {
				continue // the parts of one run
			}
			seen[[2]string{c.ItemID, c.Piece}] = true
			l := c.Computed * length.Length(c.Copies)
			paint := sp.Stock.Grade != trim.Stain
			layers := length.Half // one layer of board where the wall was not read
			atLeast := func(kind finish.Kind, need length.Length) length.Length {
				got, ok := finish.NextStock(kind, need)
				if !ok {
					all := finish.StockLengths(kind)
					got = all[len(all)-1]
				}
				return got
			}
			intoStud := atLeast(finish.Finish15, finish.NeedLength(sp.Stock.Thickness, layers, rules).Length)
			switch sp.Stock.Kind {
			case "casing":
				n := (int((c.Computed+nailSpacing-1)/nailSpacing) + 1) * c.Copies
				drive(finish.Brad18, rules.JambNail, n, finish.JambEdge)
				drive(finish.Finish15, intoStud, n, finish.Stud)
				if paint {
					caulk = append(caulk, bead(l), bead(l)) // at the wall and at the jamb
				}
			case "base", "shoe", "chair_rail", "crown":
				nailing := v.nailing(c)
				if nailing == nil {
					continue
				}
				if sp.Stock.Kind == "shoe" {
					drive(finish.Brad18, atLeast(finish.Brad18, finish.NeedInBase(sp.Stock.Thickness, 0)), nailing.Nails, finish.Base)
				} else {
					drive(finish.Finish15, intoStud, nailing.Nails, finish.Stud)
				}
				if nailing.Adhesive {
					glue = append(glue, finish.Bead{Section: finish.Round, Width: length.Quarter, Run: l})
				}
				if paint && sp.Stock.Kind != "shoe" {
					caulk = append(caulk, bead(l))
				}
			}
		}
	}
	out := []SupplyView{}
	if s, bad := finish.Cartridges(caulk, finish.CartridgeFluidOunces, rules); bad == nil && s.Packages > 0 {
		out = append(out, v.supply("supply_caulk", "supply_cartridges", finding.Finding{}.Num("count", s.Packages)))
	}
	if s, bad := finish.Cartridges(glue, finish.CartridgeFluidOunces, rules); bad == nil && s.Packages > 0 {
		out = append(out, v.supply("supply_glue", "supply_adhesive", finding.Finding{}.Num("count", s.Packages)))
	}
	var holes []finish.Hole
	orders, bad := finish.NailOrders(nails, nil, rules)
	if bad == nil {
		for _, o := range orders {
			holes = append(holes, finish.Hole{Kind: o.Kind, Count: o.Count})
			sv := v.supply(string(o.Kind), "supply_nails", finding.Finding{}.Num("count", o.Count))
			sv.Label = v.terms.Term(string(o.Kind)) + " " + v.print(o.Length)
			out = append(out, sv)
		}
	}
	if s, bad := finish.FillerFor(holes, finish.SetDepth, finish.CartridgeFluidOunces, rules); bad == nil && s.FluidOunces > 0 {
		out = append(out, v.supply("supply_filler", "supply_filler", finding.Finding{}.Dec("ounces", max(s.FluidOunces, 0.1), 1)))
	}
	return append(out, v.blocks(p)...)
}

func (v *viewer) supply(label, code string, f finding.Finding) SupplyView {
	f.Code = code
	f = v.words.Render(f, v.r.Style)
	name := v.words.Term(label)
	if _, own := v.words.Terms[label]; !own {
		name = v.terms.Term(label)
	}
	return SupplyView{Label: name, Amount: f.Sentence, Basis: f.Basis}
}

func (v *viewer) nailing(c *Piece) *trim.Nailing {
	for _, p := range v.cutting[c.ItemID].Pieces {
		if p.Piece == c.Piece && p.Run != nil {
			n := p.Run.Nailing
			return &n
		}
	}
	return nil
}

// blocks counts corner and plinth blocks of the items planned, by kind and size.
func (v *viewer) blocks(p Plan) []SupplyView {
	items := map[string]bool{}
	for i := range p.Stocks {
		for k := range p.Stocks[i].Pieces {
			items[p.Stocks[i].Pieces[k].ItemID] = true
		}
	}
	type kind struct {
		profile string
		size    length.Length
	}
	count := map[kind]int{}
	var order []kind
	for _, s := range v.state.JobItems(nil) {
		if !items[s.Item.ID] {
			continue
		}
		for _, c := range v.cutting[s.Item.ID].Pieces {
			if (c.Profile == "block" || c.Profile == "plinth") && c.State == joblog.PieceToCut {
				k := kind{c.Profile, c.Value.Length}
				if count[k] == 0 {
					order = append(order, k)
				}
				count[k] += max(1, c.Quantity)
			}
		}
	}
	out := []SupplyView{}
	for _, k := range order {
		sv := v.supply(k.profile, "supply_blocks", finding.Finding{}.Text("count", strconv.Itoa(count[k])))
		sv.Label += " " + v.print(k.size)
		out = append(out, sv)
	}
	return out
}
