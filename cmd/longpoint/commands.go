package main

const exitHelp = `
Exit codes: 0 done; 1 refused or failed, with one sentence that says why; 2 a wrong command line.`

const cutHelp = `
Exit codes, for scripts:
  0  worked out and printed, with what the rules have to say; a stop among that is still 0
  1  refused: what was given cannot be read or cannot be. One sentence on standard error says
     what, and nothing is printed. With --strict also when a stop stands; then the sheet is printed
  2  a wrong command line`

const doorHelp = `
The JSON is what the API takes. A length is text in quotes, in the unit of --unit unless it says
in, mm or the like, or whole nanometers without quotes:
    {
      "unit": {"core": "hollow", "slab_width": "28", "slab_height": "80", "slab_thickness": "1 3/8",
        "jamb_thickness": "5/8", "jamb_width": "4 9/16", "hinge_on": "left", "swings_to": "a"},
      "readings": {"width_bottom": "30", "width_middle": "762 mm", "width_top": 762000000,
        "height_hinge": "82", "height_strike": "82", "floor_strike_up": "-1/8", "lean_hinge": "0",
        "wall_build_up": "4 9/16"},
      "casing_a": {"style": "mitered", "width": "2 1/4", "thickness": "9/16"}
    }
"rules" may set house rules, by key, lengths in nanometers.`

const pushHelp = `
Put both lines into the service's environment, with an e-mail address or an https address as the
contact. Keep the key: with another one every phone has to be turned on again. It is a secret.`

func commands() []command {
	return []command{
		{name: "serve", does: "Serve the API and the web app", run: serve},
		{name: "demo", does: "Serve an invented house, with a PostgreSQL of its own unless DATABASE_URL is set", run: runDemo},
		{name: "migrate", does: "Bring the database's schema up, take it back, or say where it stands", subs: []command{
			{name: "up", does: "Bring it to what this program needs", run: migrateUp},
			{name: "down", args: "<steps>", does: "Take back the last steps, with their tables' rows", run: migrateDown},
			{name: "version", does: "Say which step it is at", run: migrateVersion},
		}},
		{name: "account", does: "Make a company on a fresh service, or let somebody back in", subs: []command{
			{name: "create", args: "--company <name> --name <name> --sign-in <name> [--language en|es] [--unit in|mm]", does: "Make a company and its owner", run: createAccount, more: accountHelp},
			{name: "passphrase", args: "<sign-in name>", does: "Set somebody's passphrase and sign them out everywhere", run: resetPassphrase, more: accountHelp},
		}},
		{name: "rebuild", args: "[--check] [--company <id>]", does: "Fold every job's log again and set right what differs; --check only compares", run: rebuild},
		{name: "backup", args: "[--try] [--days <n>] [--weeks <n>] [--months <n>]", does: "Write the database and the photos into a folder under LONGPOINT_BACKUP_DIR", run: makeBackup, more: backupHelp},
		{name: "restore", args: "<folder>|latest [--try]", does: "Put a backup into an empty database and its photos into the photo storage", run: restore, more: backupHelp},
		{name: "verify", args: "[--company <id>] [--job <id>] [--seal <value>]", does: "Check signed walkthroughs against the log, entry by entry", run: verify, more: verifyHelp},
		{name: "cut", does: "Work out cuts from readings", more: cutHelp, subs: []command{
			{name: "length", args: "<length> [--json]", does: "Read a length as a crew writes it", run: cutLength, more: cutHelp},
			{name: "door", args: "[<file>] [--json] [--explain]", does: "Work out an opening from JSON in a file or on standard input", run: cutDoor, more: doorHelp + "\n" + cutHelp},
			{name: "crown", args: "--spring <degrees> --corner <degrees> [--json] [--explain]", does: "Set the saw for crown molding", run: cutCrown, more: cutHelp},
			{name: "run", args: "[<file>] [--json] [--explain]", does: "Work out base, shoe, chair rail or crown along the walls of a room", run: cutRun, more: runHelp + "\n" + cutHelp},
		}},
		{name: "stock", does: "Plan what to cut from which stick", subs: []command{
			{name: "solve", args: "<file> [--seconds <n>] [--fewest-sticks] [--json]", does: "Plan one instance, with proof; - reads standard input", run: stockSolve, more: stockHelp},
		}},
		{name: "doctor", args: "[--health]", does: "Look over the set-up and say what is wrong with it", run: doctor},
		{name: "push-key", does: "Make a key for notifications on the crew's phones, as the settings to keep it in", run: pushKey, more: pushHelp},
		{name: "openapi", does: "Print the OpenAPI description of the API", run: printOpenAPI},
		{name: "version", does: "Print the program's version", run: printVersion},
	}
}
