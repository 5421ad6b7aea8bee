package model

import (
	"crypto/sha256"
	"fmt"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func casingStock() joblog.Stock {
	return joblog.Stock{Kind: "casing", Name: "square stock", Material: "wood", Width: length.In(2, 3, 4), Thickness: length.In(0, 3, 4), Grade: trim.Paint}
}

// saw is a turn at it: a stick from the yard or the rack, a part of a piece off it, a length of it lost, the rest put by. Two
// phones often have the same stick.
func (p *phone) saw(item string) {
	sticks, rack := p.local.Job.Sticks, p.local.Job.Rack
	if len(sticks) == 0 || p.rng.IntN(6) == 0 {
		take := &joblog.TakeStick{Stock: casingStock(), Length: length.Length(8+2*p.rng.IntN(5)) * length.Foot}
		if len(rack) > 0 && p.rng.IntN(2) == 0 {
			o := rack[p.rng.IntN(len(rack))]
			take = &joblog.TakeStick{Stock: o.Stock, Length: o.Length, OffcutID: o.CommandID}
		}
		p.do(joblog.Command{Kind: joblog.TakeStickKind, TakeStick: take})
		return
	}
	stick := sticks[p.rng.IntN(len(sticks))]
	switch p.rng.IntN(4) {
	case 0:
		p.do(joblog.Command{Kind: joblog.MiscutKind, Miscut: &joblog.Miscut{StickID: stick.CommandID, Length: length.Length(1+p.rng.IntN(12)) * length.Inch, Reason: "A knot."}})
	case 1:
		p.do(joblog.Command{Kind: joblog.ReturnOffcutKind, ReturnOffcut: &joblog.ReturnOffcut{Stock: stick.Stock,
			Length: length.Length(6+p.rng.IntN(40)) * length.Inch, Place: "garage", StickID: stick.CommandID}})
	default:
		for _, c := range p.view(item).Cuts {
			if c.State == joblog.PieceCutOK || c.Value.Length < 2*length.Inch {
				continue
			}
			half := c.Value.Length / 2
			p.on(item, joblog.Command{Kind: joblog.SawPartKind, SawPart: &joblog.SawPart{StickID: stick.CommandID, Piece: c.Piece, Part: 1 + p.rng.IntN(2), Parts: 2,
				AsCut: half, Computed: c.Value.Length, Joints: []length.Length{half}}})
			return
		}
	}
}

// photograph puts a photo of an item into the log, which is what makes room for its bytes.
func (p *phone) photograph(item string) {
	id := p.w.newID(p.rng)
	p.on(item, joblog.Command{Kind: joblog.AddPhotoKind, AddPhoto: &joblog.AddPhoto{PhotoID: id, SHA256: fmt.Sprintf("%x", sha256.Sum256([]byte(id))),
		Bytes: 200_000 + int64(p.rng.IntN(300_000)), Width: 2048, Height: 1536, Caption: "The head, from inside."}})
}

// sheets enters a product's sheet, or corrects the one that is there, and says between which airs the house will live.
func (p *phone) sheets(room string) {
	if p.rng.IntN(3) == 0 {
		c := joblog.Command{Kind: joblog.SetClimateKind, SetClimate: &joblog.SetClimate{Climate: &finish.Climate{
			Dry:  finish.Air{Celsius: 200 + finish.Tenths(p.rng.IntN(20)), Humidity: 250 + finish.Tenths(p.rng.IntN(100))},
			Damp: finish.Air{Celsius: 240, Humidity: 600}}}}
		if p.rng.IntN(2) == 0 {
			c.RoomID = room
		}
		p.do(c)
		return
	}
	id := p.w.newID(p.rng)
	if had := p.local.Job.Products; len(had) > 0 && p.rng.IntN(3) > 0 {
		id = had[p.rng.IntN(len(had))].ProductID
	}
	p.do(joblog.Command{Kind: joblog.SetProductKind, SetProduct: &joblog.SetProduct{ProductID: id, Product: finish.Product{Kind: finish.FillerProduct,
		Name: "Shop filler", Sheet: finish.Sheet{Times: []finish.SheetTime{
			{Phase: finish.FillerDry, Celsius: 211, Minutes: 60}, {Phase: finish.FillerSand, Celsius: 211, Minutes: 90 + int64(p.rng.IntN(90))}}}}}})
}
