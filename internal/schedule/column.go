package schedule

import (
	"strings"

	"longpoint/internal/finding"
)

// Fields are what a column can mean, in the order they are offered.
var Fields = []string{"room", "level", "mark", "name", "kind", "count", "size", "width", "height", "thickness", "core", "hand", "swing", "wall", "jamb",
	"grade", "casing", "casing_width", "casing_thickness", "label", "exit", "accessible", "panels", "note"}

// called are the names people write over a column, in English and Spanish, as plain reads them.
var called = map[string]string{
	"room": "room", "location": "room", "space": "room", "area": "room", "room name": "room", "cuarto": "room", "habitacion": "room", "recamara": "room", "ubicacion": "room", "espacio": "room",
	"level": "level", "floor": "level", "storey": "level", "story": "level", "nivel": "level", "piso": "level", "planta": "level",
	"mark": "mark", "number": "mark", "no": "mark", "id": "mark", "tag": "mark", "door": "mark", "door no": "mark", "door number": "mark", "opening": "mark", "window": "mark", "#": "mark",
	"marca": "mark", "numero": "mark", "num": "mark", "vano": "mark", "puerta": "mark", "clave": "mark",
	"name": "name", "description": "name", "nombre": "name", "descripcion": "name",
	"kind": "kind", "type": "kind", "style": "kind", "tipo": "kind", "clase": "kind",
	"count": "count", "qty": "count", "quantity": "count", "pcs": "count", "cantidad": "count", "cant": "count",
	"size": "size", "nominal": "size", "nominal size": "size", "slab": "size", "medida": "size", "medidas": "size", "tamano": "size",
	"width": "width", "w": "width", "slab width": "width", "door width": "width", "ancho": "width", "ancho de hoja": "width",
	"height": "height", "h": "height", "slab height": "height", "door height": "height", "alto": "height", "altura": "height", "alto de hoja": "height",
	"thickness": "thickness", "thk": "thickness", "slab thickness": "thickness", "grueso": "thickness", "espesor": "thickness", "grosor": "thickness",
	"core": "core", "construction": "core", "material": "core", "nucleo": "core", "alma": "core",
	"hand": "hand", "handing": "hand", "hinge": "hand", "hinges": "hand", "hinge side": "hand", "mano": "hand", "bisagra": "hand", "bisagras": "hand",
	"swing": "swing", "swings": "swing", "opens": "swing", "opens to": "swing", "abre": "swing", "abre hacia": "swing", "giro": "swing",
	"wall": "wall", "wall thickness": "wall", "wall build up": "wall", "muro": "wall", "pared": "wall", "grueso de muro": "wall",
	"jamb": "jamb", "jamb width": "jamb", "jamb depth": "jamb", "frame depth": "jamb", "jamba": "jamb", "ancho de jamba": "jamb",
	"grade": "grade", "finish": "grade", "paint stain": "grade", "acabado": "grade", "terminado": "grade",
	"casing": "casing", "trim": "casing", "casing style": "casing", "moldura": "casing", "contramarco": "casing",
	"casing width": "casing_width", "trim width": "casing_width", "ancho de moldura": "casing_width",
	"casing thickness": "casing_thickness", "trim thickness": "casing_thickness", "grueso de moldura": "casing_thickness",
	"label": "label", "fire label": "label", "fire rating": "label", "rating": "label", "fire": "label", "etiqueta": "label", "resistencia al fuego": "label",
	"exit": "exit", "egress": "exit", "way out": "exit", "salida": "exit",
	"accessible": "accessible", "accessible route": "accessible", "accesible": "accessible",
	"panels": "panels", "leaves": "panels", "paneles": "panels", "hojas": "panels",
	"note": "note", "notes": "note", "remarks": "note", "comments": "note", "nota": "note", "notas": "note", "observaciones": "note",
}

// plain is a word without case, accents and what stands round it, for comparing.
func plain(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch r {
		case 'á':
			r = 'a'
		case 'é':
			r = 'e'
		case 'í':
			r = 'i'
		case 'ó':
			r = 'o'
		case 'ú', 'ü':
			r = 'u'
		case 'ñ':
			r = 'n'
		case '.', ':', '_', '-', '/', '(', ')', '*':
			r = ' '
		}
		b.WriteRune(r)
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// Guess says what each column means by the names in the first line, and whether that line is
// names at all: a schedule may begin with its first door. A name met twice counts once.
func Guess(s Sheet) (columns []string, named bool) {
	columns = make([]string, s.Columns)
	if len(s.Lines) == 0 {
		return columns, false
	}
	used, hits := map[string]bool{}, 0
	for i, cell := range s.Lines[0].Cells {
		field := called[plain(cell)]
		if field == "" {
			field = called[strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(plain(cell), " mm"), " inches"), " in")]
		}
		if field != "" && !used[field] {
			columns[i], used[field] = field, true
			hits++
		}
	}
	if hits == 0 {
		return make([]string, s.Columns), false
	}
	return columns, true
}

// CheckColumns says what stands against reading a schedule so.
func CheckColumns(columns []string) []finding.Finding {
	var out []finding.Finding
	used := map[string]bool{}
	for _, field := range columns {
		if field == "" {
			continue
		}
		if !known(field) {
			out = append(out, finding.New("column_unknown", finding.Stop).Text("field", clip(field)))
			continue
		}
		if used[field] {
			out = append(out, finding.New("column_twice", finding.Stop).Term("field", "column_"+field))
		}
		used[field] = true
	}
	if !used["room"] {
		out = append(out, finding.New("column_wanted", finding.Stop).Term("field", "column_room"))
	}
	if !used["mark"] && !used["name"] {
		out = append(out, finding.New("column_wanted", finding.Stop).Term("field", "column_mark"))
	}
	return out
}

func known(field string) bool {
	for _, f := range Fields {
		if f == field {
			return true
		}
	}
	return false
}

// clip keeps a stranger's text from filling the sentence it stands in.
func clip(s string) string {
	n := 0
	for i := range s {
		if n++; n > 40 {
			return s[:i] + "…"
		}
	}
	return s
}
