package schedule

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/length"
	"longpoint/internal/trim"
	"longpoint/internal/words"
)

// The words a schedule's cells may hold, in English and Spanish, as plain reads them.
var (
	kinds = map[string]trim.Kind{
		"door": trim.Door, "doors": trim.Door, "hinged": trim.Door, "single": trim.Door, "swing": trim.Door, "puerta": trim.Door, "abatible": trim.Door, "sencilla": trim.Door,
		"cased opening": trim.CasedOpening, "cased": trim.CasedOpening, "opening": trim.CasedOpening, "vano": trim.CasedOpening, "vano con moldura": trim.CasedOpening, "vano sin puerta": trim.CasedOpening,
		"pair": trim.Pair, "double": trim.Pair, "french": trim.Pair, "par": trim.Pair, "doble": trim.Pair, "puerta doble": trim.Pair, "double door": trim.Pair,
		"pocket": trim.Pocket, "pocket door": trim.Pocket, "empotrada": trim.Pocket, "puerta empotrada": trim.Pocket, "embutida": trim.Pocket,
		"bifold": trim.Bifold, "bi fold": trim.Bifold, "folding": trim.Bifold, "plegable": trim.Bifold, "puerta plegable": trim.Bifold,
		"bypass": trim.Bypass, "by pass": trim.Bypass, "sliding": trim.Bypass, "slider": trim.Bypass, "corrediza": trim.Bypass, "puerta corrediza": trim.Bypass,
		"window": trim.Window, "windows": trim.Window, "ventana": trim.Window,
	}
	cores = map[string]trim.Core{
		"hollow": trim.Hollow, "hollow core": trim.Hollow, "hc": trim.Hollow, "hueca": trim.Hollow, "tambor": trim.Hollow,
		"solid": trim.Solid, "solid core": trim.Solid, "sc": trim.Solid, "solida": trim.Solid, "maciza": trim.Solid,
		"stile and rail": trim.StileAndRail, "stile & rail": trim.StileAndRail, "panel": trim.StileAndRail, "entablerada": trim.StileAndRail, "tablero": trim.StileAndRail,
		"fire": trim.FireRated, "fire rated": trim.FireRated, "rated": trim.FireRated, "cortafuego": trim.FireRated, "contra fuego": trim.FireRated,
	}
	levels = map[string]finish.Level{
		"basement": finish.Basement, "b": finish.Basement, "lower": finish.Basement, "cellar": finish.Basement, "sotano": finish.Basement, "0": finish.Basement,
		"ground": finish.Ground, "ground floor": finish.Ground, "main": finish.Ground, "first": finish.Ground, "first floor": finish.Ground, "1": finish.Ground, "1st": finish.Ground,
		"planta baja": finish.Ground, "pb": finish.Ground, "baja": finish.Ground, "1er piso": finish.Ground, "primer piso": finish.Ground,
		"upper": finish.Upper, "upper floor": finish.Upper, "second": finish.Upper, "second floor": finish.Upper, "2": finish.Upper, "2nd": finish.Upper, "3": finish.Upper, "third": finish.Upper, "attic": finish.Upper,
		"planta alta": finish.Upper, "pa": finish.Upper, "alta": finish.Upper, "arriba": finish.Upper, "segundo piso": finish.Upper, "2do piso": finish.Upper,
	}
	grades = map[string]trim.Grade{
		"paint": trim.Paint, "painted": trim.Paint, "paint grade": trim.Paint, "pintura": trim.Paint, "pintado": trim.Paint, "pintada": trim.Paint,
		"stain": trim.Stain, "stained": trim.Stain, "stain grade": trim.Stain, "clear": trim.Stain, "tinte": trim.Stain, "barniz": trim.Stain, "barnizada": trim.Stain,
	}
	casings = map[string]trim.CasingStyle{
		"butt head": trim.ButtHead, "butt": trim.ButtHead, "square head": trim.ButtHead, "a tope": trim.ButtHead,
		"mitered": trim.Mitered, "miter": trim.Mitered, "mitred": trim.Mitered, "inglete": trim.Mitered, "a inglete": trim.Mitered,
		"corner blocks": trim.CornerBlocks, "corner block": trim.CornerBlocks, "blocks": trim.CornerBlocks, "rosettes": trim.CornerBlocks, "bloques": trim.CornerBlocks, "bloques de esquina": trim.CornerBlocks,
	}
	yeses = map[string]bool{
		"yes": true, "y": true, "x": true, "true": true, "si": true, "s": true, "1": true,
		"no": false, "n": false, "false": false, "0": false,
	}
	// The side is the hinges' as seen from face A. A reverse hand (LHR, RHR) also says that the slab comes toward who looks; a
	// plain LH or RH does not, since two customs read it from opposite sides (from memory), and so says nothing of the swing.
	hands = map[string]struct{ side, to string }{
		"left": {"left", ""}, "l": {"left", ""}, "lh": {"left", ""}, "left hand": {"left", ""}, "izquierda": {"left", ""}, "izq": {"left", ""}, "i": {"left", ""},
		"right": {"right", ""}, "r": {"right", ""}, "rh": {"right", ""}, "right hand": {"right", ""}, "derecha": {"right", ""}, "der": {"right", ""}, "d": {"right", ""},
		"lhr": {"left", "a"}, "left hand reverse": {"left", "a"}, "rhr": {"right", "a"}, "right hand reverse": {"right", "a"},
	}
	swings = map[string]trim.Face{
		"a": trim.FaceA, "face a": trim.FaceA, "toward": trim.FaceA, "towards": trim.FaceA, "pull": trim.FaceA, "cara a": trim.FaceA, "jala": trim.FaceA,
		"b": trim.FaceB, "face b": trim.FaceB, "away": trim.FaceB, "push": trim.FaceB, "cara b": trim.FaceB, "empuja": trim.FaceB,
	}
)

// nothing reports whether a cell says that there is nothing: people draw a dash.
func nothing(s string) bool {
	switch plain(s) {
	case "", "–", "—", "n a", "none", "na", "ninguno", "ninguna", "tbd":
		return true
	}
	return false
}

// formula reports whether a cell would be worked out by a program that opens tables. A sign
// before a plain number is a number.
func formula(s string) bool {
	if s == "" {
		return false
	}
	switch s[0] {
	case '=', '@':
		return true
	case '+', '-':
		if strings.ContainsAny(s, "(!:|") {
			return true
		}
		// A letter next is a cell's name; a digit or a space, a number with a sign before it.
		r, _ := utf8.DecodeRuneInString(s[1:])
		return len(s) > 2 && unicode.IsLetter(r) && strings.ContainsAny(s, "0123456789")
	}
	return false
}

// hidden finds a character that shows nothing and turns text round or tells two alike names
// apart: direction marks, zero-width joints, control characters.
func hidden(s string) (rune, bool) {
	for _, r := range s {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
			return r, true
		}
	}
	return 0, false
}

func codePoint(r rune) string {
	hex := strings.ToUpper(strconv.FormatInt(int64(r), 16))
	return "U+" + strings.Repeat("0", max(0, 4-len(hex))) + hex
}

// measure reads a length in the crew's notation.
func measure(s string, unit length.Unit, catalog *words.Catalog) (length.Length, *finding.Finding) {
	l, err := length.Parse(s, unit)
	if err == nil {
		return l, nil
	}
	why := err.Error()
	if refusal, ok := err.(*length.ParseError); ok {
		why = refusal.In(catalog)
	}
	f := finding.New("cell_length", finding.Stop).Text("why", strings.TrimSuffix(why, "."))
	return 0, &f
}

// size reads a nominal size: two lengths with × between them, or four or five figures as
// doors are called, feet and inches of the width and then of the height: 2868 is 2 ft 8 in
// by 6 ft 8 in, 21068 is 2 ft 10 in by 6 ft 8 in (common practice).
func size(s string, unit length.Unit, catalog *words.Catalog) (w, h length.Length, bad *finding.Finding) {
	for _, cross := range []string{"×", "x", "X", " by ", " por "} {
		if left, right, ok := strings.Cut(s, cross); ok {
			if w, bad = measure(left, unit, catalog); bad != nil {
				return 0, 0, bad
			}
			h, bad = measure(right, unit, catalog)
			return w, h, bad
		}
	}
	if w, h, ok := doorCall(s); ok {
		return w, h, nil
	}
	f := finding.New("cell_size", finding.Stop).Text("value", clip(s))
	return 0, 0, &f
}

func doorCall(s string) (w, h length.Length, ok bool) {
	if strings.Trim(s, "0123456789") != "" {
		return 0, 0, false
	}
	at := func(from, to int) length.Length {
		n, _ := strconv.Atoi(s[from:to])
		return length.Length(n)
	}
	switch {
	case len(s) == 4:
		return at(0, 1)*length.Foot + at(1, 2)*length.Inch, at(2, 3)*length.Foot + at(3, 4)*length.Inch, true
	case len(s) == 5 && (s[1:3] == "10" || s[1:3] == "11"):
		return at(0, 1)*length.Foot + at(1, 3)*length.Inch, at(3, 4)*length.Foot + at(4, 5)*length.Inch, true
	}
	return 0, 0, false
}
