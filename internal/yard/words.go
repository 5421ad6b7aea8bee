package yard

import (
	"longpoint/internal/finding"
	"longpoint/internal/words"
)

// Words is what this package says, by language; English where a language is not known. It stands
// here and not with the rule book's, which the phone fetches: plans are shown by the server alone.
func Words(language string) finding.Catalog {
	if language == "es" {
		return spanish
	}
	return english
}

var english = finding.Catalog{Catalog: &words.Catalog{
	Findings: map[string]words.Said{
		"left_not_measured": {Sentence: "Not measured yet, so it is not in the plan."},
		"left_held":         {Sentence: "A stop stands against it, so it is not cut yet."},
		"left_too_long":     {Sentence: "{piece}: {length} in one piece is longer than the longest stick, {most} once its ends are squared."},
		"left_no_studs":     {Sentence: "{piece}: {length} has to be joined, and no stud behind it has been found."},
		"left_no_split":     {Sentence: "{piece}: no stud lies where a joint would have to."},

		"best_cents":   {Sentence: "No plan costs less: proven."},
		"best_length":  {Sentence: "No plan takes less length: proven. Prices are missing, so length was counted."},
		"best_sticks":  {Sentence: "No plan takes fewer sticks: proven."},
		"gap_cents":    {Sentence: "Not proven best: no plan costs less than {bound}; this one costs {value}."},
		"gap_length":   {Sentence: "Not proven best: no plan takes less than {bound}; this one takes {value}. Prices are missing, so length was counted."},
		"gap_sticks":   {Sentence: "Not proven best: no plan takes fewer than {bound} sticks; this one takes {value}."},
		"ended":        {Sentence: "The time ran out. Planning longer may find better."},
		"splits":       {Sentence: "Where runs are joined was chosen by a bounded search; another choice may save more."},
		"nest_cents":   {Sentence: "Nested miters save {saved}: {shared} of stick is cut once instead of twice."},
		"nest_length":  {Sentence: "Nested miters save {saved} bought: {shared} of stick is cut once instead of twice."},
		"nest_sticks":  {Sentence: "Nested miters save {saved} sticks: {shared} of stick is cut once instead of twice."},
		"nest_offcuts": {Sentence: "Nested miters save {shared} of stick, which stays on the offcuts. The order is the same."},
		"nest_nothing": {Sentence: "Nesting saves nothing here: no two parallel miters come together on a stick."},

		"no_price":          {Sentence: "No prices yet."},
		"common_lengths":    {Sentence: "The yard's list has no such stock: common lengths were taken."},
		"not_enough_stock":  {Sentence: "The sticks there are cannot give all the pieces: raise a limit or add a length."},
		"no_plan_yet":       {Sentence: "No plan was found in the time. Plan longer, or fewer rooms."},
		"no_stock":          {Sentence: "There is no stick to cut from."},
		"piece_too_long":    {Sentence: "However it is joined, a part is longer than the longest stick."},
		"bad_length":        {Sentence: "A length in the yard's list cannot be."},
		"too_many":          {Sentence: "More is asked for than is planned at once. Plan fewer rooms."},
		"refused":           {Sentence: "The plan could not be made."},
		"supply_cartridges": {Sentence: "{count} cartridges", Basis: "Common practice: a 1/8 in bead along every casing edge and along the top of base; the house rule's waste is in it."},
		"supply_adhesive":   {Sentence: "{count} cartridges", Basis: "Common practice: a 1/4 in bead behind pieces that cross no stud."},
		"supply_filler":     {Sentence: "{ounces} fl oz", Basis: "The holes those nails leave, 1/16 in deep; what is wiped off is not counted."},
		"supply_nails":      {Sentence: "{count}", Basis: "Common practice: casing every 16 in along both edges, base two at every stud; the house rule's waste is in it."},
		"supply_blocks":     {Sentence: "{count}", Basis: "Counted from the openings."},
	},
	Terms: map[string]string{
		"lean_left": "leaning left", "lean_right": "leaning right", "supply_caulk": "caulk", "supply_glue": "construction adhesive", "supply_filler": "filler",
		"saw_plan": "Saw plan", "saw_marked": "Sticks to scale. Every cut is marked from the stick's left end to its long point.", "order": "Order", "waste": "waste", "cut_order": "Cuts by saw setting",
		"supplies": "Supplies", "left_out": "Not in this plan", "page": "Page", "of": "of", "feet": "ft", "printed": "Printed", "left": "left",
		"stick_buy": "new stick", "stick_rack": "from the rack", "stick_saw": "on the saw", "block": "corner blocks", "plinth": "plinth blocks",
	},
}}

var spanish = finding.Catalog{Catalog: &words.Catalog{
	Findings: map[string]words.Said{
		"left_not_measured": {Sentence: "Aún sin medir; no entra en el plan."},
		"left_held":         {Sentence: "Hay algo que lo detiene; todavía no se corta."},
		"left_too_long":     {Sentence: "{piece}: {length} de una sola pieza es más larga que la vara más larga, que da {most} con los extremos a escuadra."},
		"left_no_studs":     {Sentence: "{piece}: {length} necesita un empalme, y no se ha encontrado ningún montante detrás."},
		"left_no_split":     {Sentence: "{piece}: no hay montante donde tendría que quedar el empalme."},

		"best_cents":   {Sentence: "Ningún plan cuesta menos: comprobado."},
		"best_length":  {Sentence: "Ningún plan gasta menos largo: comprobado. Faltan precios, así que se contó el largo."},
		"best_sticks":  {Sentence: "Ningún plan usa menos varas: comprobado."},
		"gap_cents":    {Sentence: "Sin comprobar que sea el mejor: ningún plan cuesta menos de {bound}; este cuesta {value}."},
		"gap_length":   {Sentence: "Sin comprobar que sea el mejor: ningún plan gasta menos de {bound}; este gasta {value}. Faltan precios, así que se contó el largo."},
		"gap_sticks":   {Sentence: "Sin comprobar que sea el mejor: ningún plan usa menos de {bound} varas; este usa {value}."},
		"ended":        {Sentence: "Se acabó el tiempo. Con más tiempo puede salir uno mejor."},
		"splits":       {Sentence: "Los lugares de los empalmes se buscaron entre un número limitado de opciones; otra podría ahorrar más."},
		"nest_cents":   {Sentence: "Los ingletes casados ahorran {saved}: {shared} de vara se cortan una vez en lugar de dos."},
		"nest_length":  {Sentence: "Los ingletes casados ahorran {saved} de compra: {shared} de vara se cortan una vez en lugar de dos."},
		"nest_sticks":  {Sentence: "Los ingletes casados ahorran {saved} varas: {shared} de vara se cortan una vez en lugar de dos."},
		"nest_offcuts": {Sentence: "Los ingletes casados ahorran {shared} de vara, que quedan en los recortes. El pedido es el mismo."},
		"nest_nothing": {Sentence: "Casar ingletes no ahorra nada aquí: en ninguna vara quedan juntos dos paralelos."},

		"no_price":          {Sentence: "Todavía sin precios."},
		"common_lengths":    {Sentence: "La lista del depósito no tiene este material: se tomaron largos comunes."},
		"not_enough_stock":  {Sentence: "Las varas que hay no alcanzan para todas las piezas: suba un límite o agregue un largo."},
		"no_plan_yet":       {Sentence: "En ese tiempo no salió ningún plan. Dele más tiempo o planee menos cuartos."},
		"no_stock":          {Sentence: "No hay vara de donde cortar."},
		"piece_too_long":    {Sentence: "Se empalme donde se empalme, una parte es más larga que la vara más larga."},
		"bad_length":        {Sentence: "Hay un largo imposible en la lista del depósito."},
		"too_many":          {Sentence: "Es más de lo que se planea de una vez. Planee menos cuartos."},
		"refused":           {Sentence: "No se pudo hacer el plan."},
		"supply_cartridges": {Sentence: "{count} cartuchos", Basis: "Práctica común: un cordón de 1/8 a lo largo de cada canto de la moldura y arriba del zócalo; incluye el desperdicio de la casa."},
		"supply_adhesive":   {Sentence: "{count} cartuchos", Basis: "Práctica común: un cordón de 1/4 detrás de las piezas que no cruzan ningún montante."},
		"supply_filler":     {Sentence: "{ounces} fl oz", Basis: "Los agujeros de esos clavos, a 1/16 de hondo; lo que se limpia no se cuenta."},
		"supply_nails":      {Sentence: "{count}", Basis: "Práctica común: moldura cada 16 pulgadas por los dos cantos, zócalo dos en cada montante; incluye el desperdicio de la casa."},
		"supply_blocks":     {Sentence: "{count}", Basis: "Contados de los vanos."},
	},
	Terms: map[string]string{
		"lean_left": "inclinado a la izquierda", "lean_right": "inclinado a la derecha", "supply_caulk": "sellador", "supply_glue": "adhesivo de construcción", "supply_filler": "masilla",
		"saw_plan": "Plan de corte", "saw_marked": "Varas a escala. Cada corte se marca desde el extremo izquierdo de la vara hasta su punta larga.", "order": "Pedido", "waste": "desperdicio", "cut_order": "Cortes por ajuste de la sierra",
		"supplies": "Consumibles", "left_out": "Fuera de este plan", "page": "Página", "of": "de", "feet": "pies", "printed": "Impreso", "left": "sobra",
		"stick_buy": "vara nueva", "stick_rack": "del estante", "stick_saw": "en la sierra", "block": "rosetones", "plinth": "plintos",
	},
}}
