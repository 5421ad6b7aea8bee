package schedule

import (
	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/words"
)

// Words is what this package says, by language; English where a language is not known. It
// stands here and not with the rule book's, which the phone fetches: the server alone imports.
func Words(language string) finding.Catalog {
	if language == "es" {
		return spanish
	}
	return english
}

// Render puts a problem in words: this package's, else the rule book's.
func Render(f finding.Finding, language string, book finding.Catalog, style length.Style) string {
	c := Words(language)
	if _, ours := c.Findings[f.Code]; !ours {
		c = book
	}
	return c.Render(f, style).Sentence
}

var english = finding.Catalog{Catalog: &words.Catalog{
	Findings: map[string]words.Said{
		"sheet_too_large":    {Sentence: "This file is larger than a schedule can be: at most 1 MB is read. Save only the sheet with the schedule, or a part of it."},
		"sheet_empty":        {Sentence: "There is nothing in this table."},
		"sheet_workbook":     {Sentence: "This is a whole workbook. Save the sheet with the schedule as CSV and choose that file, or copy its cells and paste them."},
		"sheet_pdf":          {Sentence: "This is a PDF. Save the schedule as CSV from the program it was made in, or copy the table and paste it."},
		"sheet_not_text":     {Sentence: "This file is not text that can be read. Save it as CSV in UTF-8."},
		"sheet_encoding":     {Sentence: "Line {line} holds letters in an old encoding, which could turn into wrong ones. Save the file as CSV in UTF-8."},
		"sheet_broken":       {Sentence: "A quotation mark in line {line} is opened and not closed, so the lines after it run together. Mend that line."},
		"sheet_cell_long":    {Sentence: "A cell in line {line} is longer than {most} characters. Is this the right file?"},
		"sheet_many_rows":    {Sentence: "This table has {rows} lines; at most {most} are imported at once. Part it, by floor or by wing."},
		"sheet_many_columns": {Sentence: "This table has {columns} columns; at most {most} are read. Is this the right file?"},
		"column_unknown":     {Sentence: "There is no column called {field}."},
		"column_twice":       {Sentence: "Two columns are both taken as {field}. Choose one."},
		"column_wanted":      {Sentence: "Say which column holds the {field}."},
		"row_no_room":        {Sentence: "No room is named."},
		"row_no_mark":        {Sentence: "It has no mark and no name, so it could not be found again."},
		"row_twice":          {Sentence: "{name} stands in {room} twice: here and in line {line}."},
		"cell_hidden":        {Sentence: "The {field} holds a character that does not show ({character}) and would make names look alike or run backward. Type it anew."},
		"cell_formula":       {Sentence: "The {field} is a formula, {value}. Formulas are not worked out here: put its value in."},
		"cell_long":          {Sentence: "The {field} is longer than {most} characters."},
		"cell_length":        {Sentence: "The {field} cannot be read: {why}."},
		"cell_zero":          {Sentence: "The {field} cannot be nothing."},
		"cell_size":          {Sentence: "The size {value} cannot be read. Write width × height, such as 30 × 80, or as doors are called, such as 2868."},
		"cell_number":        {Sentence: "The {field} has to be a whole number from {least} to {most}, not {value}."},
		"cell_yes":           {Sentence: "The {field} has to be yes or no, not {value}."},
		"cell_choice":        {Sentence: "The {field} {value} is not known here. {choices}."},
	},
	Terms: map[string]string{
		"column_room": "room", "column_level": "level", "column_mark": "mark", "column_name": "name", "column_kind": "kind", "column_count": "count", "column_size": "size",
		"column_width": "width", "column_height": "height", "column_thickness": "thickness", "column_core": "core", "column_hand": "hand", "column_swing": "swing",
		"column_wall": "wall thickness", "column_jamb": "jamb width", "column_grade": "grade", "column_casing": "casing", "column_casing_width": "casing width",
		"column_casing_thickness": "casing thickness", "column_label": "fire label", "column_exit": "way out", "column_accessible": "accessible route", "column_panels": "panels", "column_note": "note",
		"choices_level": "Write basement, ground or upper", "choices_kind": "Write door, cased opening, pair, pocket, bifold, bypass or window",
		"choices_core": "Write hollow, solid, stile and rail, or fire rated", "choices_hand": "Write left or right, the side of the hinges seen from face A",
		"choices_swing": "Write A or B, the face it swings toward", "choices_grade": "Write paint or stain", "choices_casing": "Write butt head, mitered or corner blocks",
	},
}}

var spanish = finding.Catalog{Catalog: &words.Catalog{
	Findings: map[string]words.Said{
		"sheet_too_large":    {Sentence: "Este archivo es más grande de lo que puede ser una lista: se lee 1 MB como máximo. Guarde solo la hoja con la lista, o una parte."},
		"sheet_empty":        {Sentence: "Esta tabla está vacía."},
		"sheet_workbook":     {Sentence: "Este es un libro entero. Guarde como CSV la hoja con la lista y elija ese archivo, o copie las celdas y péguelas."},
		"sheet_pdf":          {Sentence: "Este es un PDF. Guarde la lista como CSV desde el programa en que se hizo, o copie la tabla y péguela."},
		"sheet_not_text":     {Sentence: "Este archivo no es texto que se pueda leer. Guárdelo como CSV en UTF-8."},
		"sheet_encoding":     {Sentence: "La línea {line} tiene letras en una codificación vieja, que podrían salir cambiadas. Guarde el archivo como CSV en UTF-8."},
		"sheet_broken":       {Sentence: "En la línea {line} se abren comillas que no se cierran, y las líneas que siguen se juntan. Corrija esa línea."},
		"sheet_cell_long":    {Sentence: "Una celda de la línea {line} pasa de {most} caracteres. ¿Es este el archivo?"},
		"sheet_many_rows":    {Sentence: "Esta tabla tiene {rows} líneas; se importan {most} a la vez como máximo. Divídala, por piso o por ala."},
		"sheet_many_columns": {Sentence: "Esta tabla tiene {columns} columnas; se leen {most} como máximo. ¿Es este el archivo?"},
		"column_unknown":     {Sentence: "No hay ninguna columna llamada {field}."},
		"column_twice":       {Sentence: "Dos columnas se toman a la vez como {field}. Elija una."},
		"column_wanted":      {Sentence: "Diga qué columna tiene esto: {field}."},
		"row_no_room":        {Sentence: "No se nombra ningún cuarto."},
		"row_no_mark":        {Sentence: "No tiene marca ni nombre, así que no se podría volver a encontrar."},
		"row_twice":          {Sentence: "{name} está dos veces en {room}: aquí y en la línea {line}."},
		"cell_hidden":        {Sentence: "En {field} hay un carácter que no se ve ({character}) y que haría parecer iguales dos nombres o los pondría al revés. Escríbalo de nuevo."},
		"cell_formula":       {Sentence: "En {field} hay una fórmula, {value}. Aquí no se calculan fórmulas: ponga el valor."},
		"cell_long":          {Sentence: "En {field} hay más de {most} caracteres."},
		"cell_length":        {Sentence: "No se puede leer lo que dice {field}: {why}."},
		"cell_zero":          {Sentence: "En {field} no puede decir cero."},
		"cell_size":          {Sentence: "No se puede leer la medida {value}. Escriba ancho × alto, como 30 × 80, o como se llaman las puertas, como 2868."},
		"cell_number":        {Sentence: "En {field} va un número entero de {least} a {most}, no {value}."},
		"cell_yes":           {Sentence: "En {field} va sí o no, no {value}."},
		"cell_choice":        {Sentence: "En {field} dice {value}, que aquí no se conoce. {choices}."},
	},
	Terms: map[string]string{
		"column_room": "cuarto", "column_level": "nivel", "column_mark": "marca", "column_name": "nombre", "column_kind": "tipo", "column_count": "cantidad", "column_size": "medida",
		"column_width": "ancho", "column_height": "alto", "column_thickness": "grueso", "column_core": "núcleo", "column_hand": "mano", "column_swing": "giro",
		"column_wall": "grueso del muro", "column_jamb": "ancho de jamba", "column_grade": "acabado", "column_casing": "moldura", "column_casing_width": "ancho de moldura",
		"column_casing_thickness": "grueso de moldura", "column_label": "etiqueta contra fuego", "column_exit": "salida", "column_accessible": "ruta accesible", "column_panels": "hojas", "column_note": "nota",
		"choices_level": "Escriba sótano, planta baja o planta alta", "choices_kind": "Escriba puerta, vano con moldura, doble, empotrada, plegable, corrediza o ventana",
		"choices_core": "Escriba hueca, sólida, entablerada o contra fuego", "choices_hand": "Escriba izquierda o derecha, el lado de las bisagras visto desde la cara A",
		"choices_swing": "Escriba A o B, la cara hacia la que abre", "choices_grade": "Escriba pintura o tinte", "choices_casing": "Escriba a tope, inglete o bloques de esquina",
	},
}}
