package report

// Words is what these sheets say beside the rule book, by language; English where a language
// is not known. It stands here and not with the rule book's, which the phone fetches: sheets
// are made by the server alone.
func Words(language string) map[string]string {
	if language == "es" {
		return spanish
	}
	return english
}

var english = map[string]string{
	"page": "page", "printed": "Printed", "cut_sheet": "Cut sheet", "no_cuts": "Nothing to cut yet: readings are missing.",
	"exaggerated": "Gaps, leans and slopes are drawn larger than they are.", "cut": "cut", "saw": "Saw", "stale": "its readings changed: cut it anew", "off": "cut off its line",
	"scan": "Scan to open this opening in the app. It asks you to sign in.", "next": "Next", "nothing_next": "Every stage is done.",
	"punch_list": "Punch list", "of": "for", "nothing_said": "Nothing was said here.", "by": "by", "day": "to be done on",
	"photo_on_way": "A photo is still on its way.", "room_signed": "Signed by", "record": "Sign-off record", "not_signed": "Not signed.", "open_then": "Open by agreement when it was signed",
	"nothing_open": "Nothing was left open.", "whole": "The whole walkthrough", "seal": "Seal", "seal_none": "No seal: the walkthrough is not signed as a whole.",
	"seal_what":    "This value stands for every entry of the job's log up to the signature. Whoever keeps the log can show with it that nothing was changed since: longpoint verify --seal.",
	"seal_through": "through entry", "log": "Job log", "entries": "entries", "someone": "somebody",
	"not_inspection":    "This is a record of what the homeowner and the crew saw and agreed. It is no inspection, and it replaces none that local code or a contract asks for.",
	"before_repair":     "Before any repair: eye protection and a dust mask for sanding. In a house built before 1978, lead-safe work rules apply before old paint is disturbed.",
	"stairs":            "Work over stairs from a platform made for it, not from a step.",
	"log_is_record":     "A record of the work, no instruction for it. The numbers were right for the readings of their day: cut by today's cut sheet.",
	"card_caution":      "The drawing is no permit to cut framing. A header or jack stud is not cut; local code and licensed practice decide.",
	"measured_rounding": "Lengths are rounded the way that leaves the joint tight or free, as the piece needs. Check the saw's setting on scrap before the first cut.",
}

var spanish = map[string]string{
	"page": "página", "printed": "Impreso", "cut_sheet": "Hoja de corte", "no_cuts": "Todavía no hay qué cortar: faltan lecturas.",
	"exaggerated": "Las holguras, los desplomes y los desniveles se dibujan más grandes de lo que son.", "cut": "cortada", "saw": "Sierra", "stale": "sus lecturas cambiaron: córtela de nuevo", "off": "cortada fuera de su raya",
	"scan": "Escanee para abrir este vano en la aplicación. Le pedirá entrar.", "next": "Sigue", "nothing_next": "Todas las etapas están hechas.",
	"punch_list": "Lista de pendientes", "of": "para", "nothing_said": "Aquí no se señaló nada.", "by": "por", "day": "se hará el",
	"photo_on_way": "Una foto todavía viene en camino.", "room_signed": "Firmado por", "record": "Acta de entrega", "not_signed": "Sin firmar.", "open_then": "Abierto de común acuerdo al firmar",
	"nothing_open": "No quedó nada abierto.", "whole": "El recorrido completo", "seal": "Sello", "seal_none": "Sin sello: el recorrido no está firmado por completo.",
	"seal_what":    "Este valor representa cada anotación del registro hasta la firma. Quien guarda el registro puede demostrar con él que nada se ha cambiado: longpoint verify --seal.",
	"seal_through": "hasta la anotación", "log": "Registro de la obra", "entries": "anotaciones", "someone": "alguien",
	"not_inspection":    "Esto es constancia de lo que el dueño y el equipo vieron y acordaron. No es una inspección, ni reemplaza la que exijan el código local o un contrato.",
	"before_repair":     "Antes de cualquier arreglo: lentes de seguridad y mascarilla para lijar. En una casa construida antes de 1978, antes de tocar pintura vieja rigen las reglas de trabajo seguro con plomo.",
	"stairs":            "Sobre una escalera trabaje desde una plataforma hecha para eso, no desde un escalón.",
	"log_is_record":     "Es constancia del trabajo, no instrucción para hacerlo. Los números valían para las lecturas de su día: corte con la hoja de corte de hoy.",
	"card_caution":      "El dibujo no autoriza a cortar la estructura. No se corta un cabezal ni un pie derecho; deciden el código local y los oficios con licencia.",
	"measured_rounding": "Las medidas se redondean hacia donde la unión queda justa o libre, según lo pida la pieza. Pruebe el ajuste de la sierra en un retazo antes del primer corte.",
}
