package message

import "strings"

type text struct{ subject, body string }

// texts are the words of each kind in each language. What stands in braces comes with the message.
var texts = map[string]map[Kind]text{
	"en": {
		WalkReady: {"Ready for you to look at: {job}",
			"Hello {name},\n\n{company} would like you to look through the work at {job}.\n\nOpen this link on your phone and go from room to room. Touch what is not right and say what it is. You need no account and install nothing.\n\n{link}\n\nThe link works until it is ended or a new one is made. Keep it to yourself: whoever has it can answer and sign for you.\n"},
		WalkFixed: {"Fixed: {job}",
			"Hello {name},\n\n{company} says that this is fixed at {job}:\n\n{what}\n\nOpen the link to your walkthrough, have a look, and say whether it is right or still there.\n"},
		WalkSigned: {"Signed: {job}",
			"Hello {name},\n\n{signer} has signed the walkthrough of {job}. It is closed now, and what was said and done up to the signature can no longer change.\n\nThe sign-off record is with the job's walkthroughs, to print or to keep.\n"},
		WalkRecord: {"Your signature under the walkthrough: {job}",
			"Hello {name},\n\nthe walkthrough of {job} is signed by {signer}. It is closed now.\n\nWhat you signed stays to be read behind the link to your walkthrough for as long as the link works. {company} has the sign-off record on paper and as a file: ask for your copy.\n\nIf you did not sign, tell {company} at once.\n"},
		Invite: {"{by} invites you to {company} on Longpoint",
			"Hello{name},\n\n{by} invites you to work with {company} on Longpoint, the crew's job log. Open this link on the phone you work with:\n\n{link}\n\nIt works once and for seven days. Keep it to yourself: whoever opens it first is let in.\n\nIf you know nobody of {company}, do nothing.\n"},
		PushWork:   {"Work for you: {item}", "{room}"},
		PushRemark: {"To be put right: {item}", "{room · }The homeowner pointed something out, and it is yours to do."},
		PushStill:  {"Still there: {item}", "{room · }The homeowner looked and says it is not right yet."},
	},
	"es": {
		WalkReady: {"Listo para que lo vea: {job}",
			"Hola, {name}:\n\n{company} le pide que vea el trabajo en {job}.\n\nAbra este enlace en su teléfono y vaya de cuarto en cuarto. Toque lo que no esté bien y diga qué es. No necesita cuenta ni instalar nada.\n\n{link}\n\nEl enlace sirve hasta que se termine o se haga uno nuevo. No lo comparta: quien lo tenga puede contestar y firmar por usted.\n"},
		WalkFixed: {"Arreglado: {job}",
			"Hola, {name}:\n\n{company} dice que esto ya está arreglado en {job}:\n\n{what}\n\nAbra el enlace de su recorrido, mírelo y diga si está bien o si sigue ahí.\n"},
		WalkSigned: {"Firmado: {job}",
			"Hola, {name}:\n\n{signer} firmó el recorrido de {job}. Ya está cerrado, y lo que se dijo y se hizo hasta la firma ya no puede cambiar.\n\nEl acta de entrega está con los recorridos de la obra, para imprimir o guardar.\n"},
		WalkRecord: {"Su firma en el recorrido: {job}",
			"Hola, {name}:\n\nel recorrido de {job} quedó firmado por {signer}. Ya está cerrado.\n\nLo que firmó se puede leer en el enlace de su recorrido mientras el enlace sirva. {company} tiene el acta de entrega en papel y como archivo: pida su copia.\n\nSi usted no firmó, avise de inmediato a {company}.\n"},
		Invite: {"{by} le invita a {company} en Longpoint",
			"Hola{name}:\n\n{by} le invita a trabajar con {company} en Longpoint, el registro de obra de la cuadrilla. Abra este enlace en el teléfono con el que trabaja:\n\n{link}\n\nSirve una sola vez y durante siete días. No lo comparta: entra quien lo abra primero.\n\nSi no conoce a nadie de {company}, no haga nada.\n"},
		PushWork:   {"Trabajo para usted: {item}", "{room}"},
		PushRemark: {"Por corregir: {item}", "{room · }El dueño de la casa señaló algo y le toca a usted hacerlo."},
		PushStill:  {"Sigue ahí: {item}", "{room · }El dueño de la casa lo miró y dice que todavía no está bien."},
	},
}

// more is what work says that was given together with other work.
var more = map[string]text{
	"en": {"Work for you: {count} things", "{item}{, room}, and more"},
	"es": {"Trabajo para usted: {count} cosas", "{item}{, room}, y más"},
}

// Text is the message's subject and body in its language, English where that is not known. What people typed is one line
// each, whatever they typed: a name begins no header and no paragraph of its own.
func (m Message) Text() (subject, body string) {
	t, ok := texts[m.Language][m.Kind]
	if !ok {
		t = texts["en"][m.Kind]
	}
	if several, ok := more[m.Language]; ok && m.Kind == PushWork && m.Says["count"] != "1" {
		t = several
	}
	var pairs []string
	for k, v := range m.Says {
		switch {
		case k == "what":
			v = listed(v)
		case k == "name" && m.Kind == Invite:
			if v = oneLine(v); v != "" { // who is invited may not be named yet
				v = map[bool]string{true: ", ", false: " "}[m.Language == "es"] + v
			}
		default:
			v = oneLine(v)
		}
		pairs = append(pairs, "{"+k+"}", v)
	}
	// A room has no room that it is in.
	before, after := "", ""
	if room := oneLine(m.Says["room"]); room != "" {
		before, after = room+" · ", ", "+room
	}
	fill := strings.NewReplacer(append(pairs, "{room · }", before, "{, room}", after)...)
	return oneLine(fill.Replace(t.subject)), fill.Replace(t.body)
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// listed makes a line of each line.
func listed(s string) string {
	var out []string
	for line := range strings.SplitSeq(s, "\n") {
		if line = oneLine(line); line != "" {
			out = append(out, "- "+line)
		}
	}
	return strings.Join(out, "\n")
}
