package trim_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// withRough sets all three widths.
func withRough(in *trim.OpeningInput, w length.Length) {
	for _, name := range []string{"width_bottom", "width_middle", "width_top"} {
		in.Readings.Set(name, w)
	}
}

func noStops(t *testing.T, out trim.OpeningCuts) {
	t.Helper()
	for _, f := range out.Findings {
		if f.Severity == finding.Stop {
			t.Errorf("want no stop, got %s about %s", f.Code, f.About)
		}
	}
}

func TestCasedOpening(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.Unit = trim.Unit{Kind: trim.CasedOpening, JambThickness: length.In(0, 3, 4), JambWidth: length.In(4, 9, 16), Grade: trim.Stain}
	withRough(&in, length.In(38, 0, 1))
	out := trim.Opening(in)
	noStops(t, out)
	wantLen(t, "inside fills the opening, 1/4 a side for shims", valueOf(t, out, "inside_width"), length.In(36, 0, 1))
	wantLen(t, "head", cutOf(t, out, "head").Value.Length, length.In(36, 0, 1))
	wantLen(t, "leg_hinge", cutOf(t, out, "leg_hinge").Value.Length, length.In(80, 1, 8))
	wantLen(t, "casing head", cutOf(t, out, "casing_a_head").Value.Length, length.In(43, 3, 4))
	if hasCut(out, "slab") {
		t.Error("want no slab in a cased opening")
	}
	in.Unit.ClearWidth = length.In(35, 1, 2)
	out = trim.Opening(in)
	wantLen(t, "inside as wanted", valueOf(t, out, "inside_width"), length.In(35, 1, 2))
	wantLen(t, "shim space", valueOf(t, out, "shim_total"), length.In(1, 0, 1))
	if got := trim.TermFor(in.Unit, "height_hinge"); got != "height_left" {
		t.Errorf("want the sides called left and right, got %s", got)
	}
}

func TestPair(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.Unit.Kind, in.Unit.SlabWidth = trim.Pair, length.In(24, 0, 1)
	withRough(&in, length.In(50, 1, 8))
	out := trim.Opening(in)
	noStops(t, out)
	wantLen(t, "inside_width", valueOf(t, out, "inside_width"), length.In(48, 3, 8))
	wantLen(t, "frame", valueOf(t, out, "frame_width"), length.In(49, 5, 8))
	wantLen(t, "one slab open", valueOf(t, out, "clear_width"), length.In(22, 1, 2))
	wantLen(t, "both open", valueOf(t, out, "clear_width_both"), length.In(44, 7, 8))
	if slab := cutOf(t, out, "slab"); slab.Quantity != 2 {
		t.Errorf("want two slabs, got %d", slab.Quantity)
	}
	hinges := 0
	for _, m := range cutOf(t, out, "leg_strike").Marks {
		if m.From == "top" {
			hinges++
		}
	}
	if hinges != 3 {
		t.Errorf("want three hinge marks on the other leg too, got %d", hinges)
	}
	in.Unit.Astragal, in.Unit.AstragalLap, in.Unit.MeetingGap = length.In(0, 3, 8), length.In(0, 1, 2), length.In(0, 3, 16)
	out = trim.Opening(in)
	wantLen(t, "inside with an astragal", valueOf(t, out, "inside_width"), length.In(48, 13, 16))
	wantLen(t, "astragal", cutOf(t, out, "astragal").Value.Length, length.In(79, 1, 8))
	wantLen(t, "one slab open past the astragal", valueOf(t, out, "clear_width"), length.In(22, 1, 16))
	in.Unit.Exit = true
	if f, ok := findingOf(trim.Opening(in).Findings, "clear_width"); !ok || !f.Safety {
		t.Error("want one slab of a pair to carry the exit's clear width")
	}
}

func TestPocket(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.Unit.Kind = trim.Pocket
	in.Unit.SlabWidth, in.Unit.SlabHeight, in.Unit.SlabThickness = length.In(30, 0, 1), length.In(78, 1, 2), length.In(1, 3, 8)
	out := trim.Opening(in)
	for _, want := range []string{"lap", "track_allowance", "frame_width"} {
		found := false
		for _, f := range out.Findings {
			found = found || f.Code == "unit_missing" && f.About == want && f.Wanted
		}
		if !found {
			t.Errorf("want the maker's %s asked for", want)
		}
	}
	in.Unit.Lap, in.Unit.TrackAllowance, in.Unit.FrameWidth = length.In(1, 0, 1), length.In(1, 1, 2), length.In(60, 3, 4)
	withRough(&in, length.In(61, 1, 4))
	out = trim.Opening(in)
	noStops(t, out)
	wantLen(t, "inside_width", valueOf(t, out, "inside_width"), length.In(29, 0, 1))
	wantLen(t, "shim space by the sheet's frame", valueOf(t, out, "shim_total"), length.In(0, 1, 2))
	wantLen(t, "slab", cutOf(t, out, "slab").Value.Length, length.In(77, 3, 4))
	split := cutOf(t, out, "split_leg")
	wantLen(t, "split jamb", split.Value.Length, length.In(79, 1, 2))
	// 4 9/16 less 1 3/8 and 3/16 each side leaves 2 13/16 for both.
	wantLen(t, "split jamb's rip", split.Width.Length, length.In(1, 13, 32))
	if split.Quantity != 2 || hasCut(out, "leg_hinge") || !hasCut(out, "leg_strike") {
		t.Errorf("want two split jambs at the pocket and a full leg at the strike, got %+v", out.Cuts)
	}
	if f, ok := findingOf(out.Findings, "pocket_nails"); !ok || f.Stage != "nailed" {
		t.Error("want a word about nails over the pocket")
	}
	in.Unit.Exit = true
	if f, ok := findingOf(trim.Opening(in).Findings, "exit_not_hinged"); !ok || !f.Safety {
		t.Error("want a pocket door refused as the way out")
	}
}

func TestBypassAndBifold(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.Unit.Kind, in.Unit.Panels, in.Unit.SlabWidth, in.Unit.SlabHeight = trim.Bypass, 2, length.In(30, 0, 1), length.In(79, 0, 1)
	in.Unit.SlabThickness, in.Unit.Lap, in.Unit.TrackAllowance = length.In(1, 3, 8), length.In(1, 0, 1), length.In(1, 1, 4)
	withRough(&in, length.In(60, 3, 4))
	out := trim.Opening(in)
	noStops(t, out)
	wantLen(t, "bypass inside", valueOf(t, out, "inside_width"), length.In(59, 0, 1))
	wantLen(t, "bypass slab", cutOf(t, out, "slab").Value.Length, length.In(78, 0, 1))
	wantLen(t, "bypass open", valueOf(t, out, "clear_width"), length.In(29, 0, 1))

	in.Unit.Kind, in.Unit.Panels, in.Unit.Lap = trim.Bifold, 4, 0
	in.Unit.SlabWidth, in.Unit.WidthAllowance = length.In(14, 3, 4), length.In(1, 0, 1)
	in.Unit.JambThickness, in.Unit.JambWidth, in.Unit.HeadThickness = 0, 0, 0
	withRough(&in, length.In(60, 1, 8))
	out = trim.Opening(in)
	noStops(t, out)
	wantLen(t, "bifold inside", valueOf(t, out, "inside_width"), length.In(60, 0, 1))
	wantLen(t, "spare between board returns", valueOf(t, out, "slab_spare"), length.In(0, 1, 8))
	wantLen(t, "board returns leave the header as the head", valueOf(t, out, "head_underside"), length.In(80, 3, 8))
	wantLen(t, "bifold slab", cutOf(t, out, "slab").Value.Length, length.In(78, 7, 8))
	if hasCut(out, "leg_hinge") {
		t.Error("want no jambs where board returns")
	}
	withRough(&in, length.In(59, 7, 8))
	if f, ok := findingOf(trim.Opening(in).Findings, "frame_too_wide"); !ok || f.Severity != finding.Stop {
		t.Error("want slabs that do not fit to stop")
	}
	in.Unit.Panels = 3
	if f, ok := findingOf(trim.CheckUnit(in.Unit), "choice_unknown"); !ok || f.About != "panels" {
		t.Error("want an odd number of bifold slabs refused")
	}
}

// Free area is gap times width: 30 in slab, 1 in gap, 30 in².
func TestReturnAir(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.Unit.SlabWidth, in.Unit.ReturnAir = length.In(30, 0, 1), 30
	withRough(&in, length.In(32, 0, 1))
	in.Readings.FloorStrikeUp, in.Readings.HeightStrike = lenPtr(0, 0, 1), lenPtr(80, 3, 8)
	in.Rules.BottomGap = length.In(1, 0, 1)
	out := trim.Opening(in)
	if out.ReturnAir == nil || out.ReturnAir.SquareInches != 30 {
		t.Fatalf("want 30 in² of free area, got %+v", out.ReturnAir)
	}
	if _, ok := findingOf(out.Findings, "return_air_short"); ok {
		t.Error("want 30 of 30 in² to be enough")
	}
	in.Rules.BottomGap = length.In(0, 3, 4)
	f, ok := findingOf(trim.Opening(in).Findings, "return_air_short")
	if !ok {
		t.Fatal("want 22.5 of 30 in² to be short")
	}
	for _, a := range f.Args {
		if a.Name == "gap" && *a.Length != length.In(1, 0, 1) || a.Name == "area" && a.Text != "22.5" {
			t.Errorf("want 22.5 in² and a gap of 1, got %+v", a)
		}
	}
	in.Unit.Core, in.Unit.FireLabel, in.Unit.SlabHeight = trim.FireRated, "20 min", length.In(79, 0, 1)
	if f, ok := findingOf(trim.Opening(in).Findings, "return_air_fire"); !ok || !f.Safety {
		t.Error("want an undercut for air refused on a fire door")
	}
}

func windowInput() trim.OpeningInput {
	c := trim.Casing{Style: trim.Mitered, Width: length.In(3, 1, 2), Thickness: length.In(0, 3, 4)}
	in := chainInput()
	return trim.OpeningInput{
		Unit: trim.Unit{Kind: trim.Window, Surround: trim.PictureFrame, JambThickness: length.In(0, 3, 4), Grade: trim.Paint},
		Readings: trim.Readings{
			WidthTop: lenPtr(36, 0, 1), WidthBottom: lenPtr(36, 0, 1), HeightHinge: lenPtr(48, 0, 1), HeightStrike: lenPtr(48, 0, 1),
		},
		CasingA: &c, Rules: in.Rules,
	}
}

func TestPictureFrame(t *testing.T) {
	t.Parallel()
	out := trim.Opening(windowInput())
	noStops(t, out)
	for piece, want := range map[string]length.Length{
		"casing_a_head": length.In(43, 1, 4), "casing_a_foot": length.In(43, 1, 4),
		"casing_a_leg_hinge": length.In(55, 1, 4), "casing_a_leg_strike": length.In(55, 1, 4),
	} {
		c := cutOf(t, out, piece)
		wantLen(t, piece, c.Value.Length, want)
		if c.Ends[0].Miter != 45 || c.Ends[1].Miter != 45 {
			t.Errorf("%s: want both ends at 45°, got %+v", piece, c.Ends)
		}
	}
	if len(out.Corners) != 4 {
		t.Errorf("want four corners, got %+v", out.Corners)
	}
	// Out of square by 1/2 in: the four corners of any quadrilateral add to 360°.
	in := windowInput()
	in.Readings.DiagonalRise, in.Readings.DiagonalFall = lenPtr(60, 5, 16), lenPtr(59, 23, 32)
	var sum trim.Angle
	out = trim.Opening(in)
	for _, c := range out.Corners {
		sum += c.Angle
	}
	if sum < 360*trim.Degree-2 || sum > 360*trim.Degree+2 {
		t.Errorf("want the corners to add to 360°, got %v", sum)
	}
	if a, b := out.Corners[0].Angle, out.Corners[3].Angle; a <= 90*trim.Degree || a != b {
		t.Errorf("want the two corners on the long diagonal's far ends alike and open, got %v and %v", a, b)
	}
}

func TestStoolAndApron(t *testing.T) {
	t.Parallel()
	in := windowInput()
	in.Unit.Surround, in.Unit.Horn, in.Unit.StoolNosing = trim.StoolApron, length.In(0, 3, 4), length.In(0, 1, 2)
	in.Readings.DepthBottomHinge, in.Readings.DepthBottomStrike = lenPtr(2, 0, 1), lenPtr(2, 1, 8)
	out := trim.Opening(in)
	noStops(t, out)
	stool := cutOf(t, out, "stool")
	wantLen(t, "stool", stool.Value.Length, length.In(44, 3, 4))
	wantLen(t, "apron", cutOf(t, out, "apron").Value.Length, length.In(43, 1, 4))
	wantLen(t, "notch", stool.Marks[0].Value.Length, length.In(4, 3, 8))
	wantLen(t, "stool's width", stool.Width.Length, length.In(3, 3, 8))
	leg := cutOf(t, out, "casing_a_leg_hinge")
	wantLen(t, "leg on the stool", leg.Value.Length, length.In(51, 5, 8))
	if leg.Ends[0].Joint != "square" || leg.Ends[1].Miter != 45 {
		t.Errorf("want a square foot and a miter at the head, got %+v", leg.Ends)
	}
	if hasCut(out, "casing_a_foot") {
		t.Error("want no casing under a stool")
	}
	in.Readings.SpaceAHinge = lenPtr(4, 0, 1)
	if _, ok := findingOf(trim.Opening(in).Findings, "stool_meets_wall"); !ok {
		t.Error("want the stool's horn to be seen to meet the wall")
	}
}

// 36 in wide, 1/8 reveals and 2 1/2 casing, the left leg ripped to the 1 7/8 that a wall 2 in from
// the jamb leaves: the apron ends under both outer edges, 36 + 1/4 + 1 7/8 + 2 1/2.
func TestApronUnderARippedLeg(t *testing.T) {
	t.Parallel()
	for _, hingeOn := range []string{"left", "right"} {
		in := windowInput()
		in.Unit.Surround, in.Unit.Horn, in.Unit.HingeOn = trim.StoolApron, length.In(0, 3, 4), hingeOn
		in.CasingA.Width = length.In(2, 1, 2)
		in.Readings.WidthBottom, in.Readings.WidthTop = lenPtr(36, 0, 1), lenPtr(36, 0, 1)
		in.Readings.SpaceAHinge = lenPtr(2, 0, 1)
		in.Rules.Reveal = length.In(0, 1, 8)
		out := trim.Opening(in)
		wantLen(t, "leg's rip", cutOf(t, out, "casing_a_leg_hinge").Width.Length, length.In(1, 7, 8))
		wantLen(t, "apron", cutOf(t, out, "apron").Value.Length, length.In(40, 5, 8))
		stool := cutOf(t, out, "stool")
		wantLen(t, "stool", stool.Value.Length, length.In(42, 1, 8))
		for _, m := range stool.Marks {
			want := length.In(3, 3, 8)
			if m.From == hingeOn {
				want = length.In(2, 3, 4)
			}
			wantLen(t, "notch from the "+m.From, m.Value.Length, want)
		}
		if f, ok := findingOf(out.Findings, "stool_meets_wall"); !ok || len(stool.Marks) != 2 {
			t.Errorf("got marks %+v and %+v, want one from each end and the horn seen to meet the wall", stool.Marks, f)
		}
	}
}

func TestExtensionJambs(t *testing.T) {
	t.Parallel()
	in := windowInput()
	in.Unit.ExtensionJambs = true
	out := trim.Opening(in)
	wanted := 0
	for _, f := range out.Findings {
		if f.Code == "reading_missing" {
			wanted++
		}
	}
	if wanted != 4 {
		t.Errorf("want the four depths asked for, got %d", wanted)
	}
	in.Readings.DepthTopHinge, in.Readings.DepthTopStrike = lenPtr(2, 0, 1), lenPtr(2, 1, 16)
	in.Readings.DepthBottomHinge, in.Readings.DepthBottomStrike = lenPtr(2, 1, 4), lenPtr(2, 1, 16)
	out = trim.Opening(in)
	noStops(t, out)
	leg := cutOf(t, out, "extension_leg_hinge")
	wantLen(t, "foot of the tapered leg", leg.Width.Length, length.In(2, 1, 4))
	wantLen(t, "top of the tapered leg", leg.WidthFar.Length, length.In(2, 0, 1))
	if strike := cutOf(t, out, "extension_leg_strike"); strike.WidthFar != nil {
		t.Error("want the even side ripped parallel")
	}
	head := cutOf(t, out, "extension_head")
	wantLen(t, "head within 1/16 is ripped to the deeper end", head.Width.Length, length.In(2, 1, 16))
	wantLen(t, "head caps the legs", head.Value.Length, length.In(37, 1, 2))
	wantLen(t, "leg", leg.Value.Length, length.In(48, 0, 1))
	in.Readings.DepthTopHinge = lenPtr(0, -1, 4)
	if _, ok := findingOf(trim.Opening(in).Findings, "unit_proud"); !ok {
		t.Error("want a unit that stands proud to be seen")
	}
}
