package joblog

import "longpoint/internal/finding"

func walkWords() finding.Catalog {
	return finding.Catalog{
		Findings: map[string]finding.Words{
			"walk_gone":                  {Sentence: "There is no such walkthrough.", Remedy: "Open the link you were sent again, or ask for a new one.", Basis: "A walkthrough is one job's and one homeowner's."},
			"homeowner_only":             {Sentence: "Only the homeowner can do that.", Remedy: "Ask them to, from their link.", Basis: "Nobody signs for another."},
			"walk_over":                  {Sentence: "This walkthrough is over.", Remedy: "Ask the crew for a new link.", Basis: "A link ends on its day, or when the lead closes it."},
			"walk_sealed":                {Sentence: "This walkthrough is signed; nothing more is added to it.", Remedy: "Tell the crew, and they open another.", Basis: "What was signed stays as it was signed."},
			"walk_ends_before_it_begins": {Sentence: "The link would end before it begins.", Remedy: "Choose a day to come.", Basis: "A link needs a day to be used on."},
			"room_not_walked":            {Sentence: "This walkthrough does not go through that room.", Remedy: "Stay with its rooms, or have the lead open one for the other.", Basis: "A walkthrough shows what it was opened for."},
			"remark_gone":                {Sentence: "There is no such remark in this walkthrough.", Remedy: "Look at the list again.", Basis: "An answer is to a remark."},
			"remark_needs_words":         {Sentence: "This needs a few words.", Remedy: "Say it in a sentence.", Basis: "The other side has to understand it."},
			"remark_moved_on":            {Sentence: "Somebody was there before: the remark now stands at {state}.", Remedy: "Look at it again, then decide.", Basis: "An answer is to a remark as it stands."},
			"remark_needs_stage":         {Sentence: "It is not said which stage is to be done again.", Remedy: "Choose the stage the trouble began at.", Basis: "Agreed work goes back on the item's pole."},
			"fix_before_stage":           {Sentence: "{stage} was reopened for this and is not done again.", Remedy: "Do it again and tick it; then say it is fixed.", Basis: "What comes back passes the same checks."},
			"fixed_without_photo":        {Sentence: "Fixed, without a photo of it.", Remedy: "Take one: the homeowner may not be in the house.", Basis: common},
			"signed_already":             {Sentence: "That is signed already.", Remedy: "Nothing is left to sign there.", Basis: "A signature is given once."},
			"sign_list_changed":          {Sentence: "Something changed while you were reading.", Remedy: "Look at what is open once more, then sign.", Basis: "A signature is under what the signer saw."},
			"signature_missing":          {Sentence: "The signature is still to be drawn.", Remedy: "Draw it with a finger.", Basis: "Signed means by hand."},

			"look_not_finished": {Sentence: "Not finished: {stage} is next.", Remedy: "Finish it, or leave the room out of the walkthrough.", Basis: "A homeowner sees what is unfinished first."},
			"look_passed":       {Sentence: "A stop was passed here: {reason}", Remedy: "Look at it as the homeowner will; say beforehand why it is so.", Basis: "What was passed is what is asked about."},
			"look_wide_gap":     {Sentence: "A gap of {gap} was closed here.", Remedy: "See that the bead has not sunk; run it again where it has.", Basis: "Caulk over 1/8 in. shrinks as it cures (common practice)."},
			"look_mdf_corners":  {Sentence: "The mitered corners are MDF.", Remedy: "Look for raised or dented edges; fill and sand them.", Basis: "MDF swells and crushes at a mitered edge (common practice)."},
			"look_upper_joints": {Sentence: "Joints on an upper floor.", Remedy: "Look along them for a hairline; caulk it before it is seen.", Basis: "An upper floor moves most with the seasons (common practice)."},
			"look_no_top_bead":  {Sentence: "The top edge is seen from above and has no bead.", Remedy: "Caulk it.", Basis: "An open top edge shows from stairs and landings (common practice)."},

			"log_open_walk": {Sentence: "Walkthrough opened."}, "log_close_walk": {Sentence: "Walkthrough closed: {reason}"},
			"log_say_remark": {Sentence: "Homeowner: {what}"},
			"log_sign_off":   {Sentence: "Room signed off by {name}; open by agreement: {open}."}, "log_sign_off_whole": {Sentence: "Signed off as a whole by {name}; open by agreement: {open}."},
			"log_move_remark_ask": {Sentence: "Asked."}, "log_move_remark_ask_words": {Sentence: "Asked: {text}"},
			"log_move_remark_agree": {Sentence: "Agreed."}, "log_move_remark_agree_words": {Sentence: "Agreed: {text}"},
			"log_move_remark_decline": {Sentence: "Declined."}, "log_move_remark_decline_words": {Sentence: "Declined: {text}"},
			"log_move_remark_fix": {Sentence: "Fixed."}, "log_move_remark_fix_words": {Sentence: "Fixed: {text}"},
			"log_move_remark_reply": {Sentence: "Answered."}, "log_move_remark_reply_words": {Sentence: "Answered: {text}"},
			"log_move_remark_accept": {Sentence: "Accepted."}, "log_move_remark_accept_words": {Sentence: "Accepted: {text}"},
			"log_move_remark_still_there": {Sentence: "Still there."}, "log_move_remark_still_there_words": {Sentence: "Still there: {text}"},
			"log_move_remark_insist": {Sentence: "Asked for again."}, "log_move_remark_insist_words": {Sentence: "Asked for again: {text}"},
			"log_move_remark_take_back": {Sentence: "Taken back."}, "log_move_remark_take_back_words": {Sentence: "Taken back: {text}"},
		},
		Terms: map[string]string{
			"about_nail_hole": "A nail hole shows", "about_dent": "A dent or scratch", "about_crack": "A crack at a joint",
			"about_wall_gap": "A gap along the wall or floor", "about_open_joint": "Two pieces don't meet", "about_loose": "Something is loose",
			"about_rubs": "It rubs or sticks", "about_latch": "It doesn't latch, or won't stay put", "about_uneven_gap": "The gap around it is uneven",
			"about_paint": "The paint is thin, rough or missing", "about_other": "Something else",
			"remark_said": "waiting for the crew's answer", "remark_asked": "the crew asks you something", "remark_agreed": "to be done",
			"remark_declined": "will not be done", "remark_fixed": "done, for you to look at", "remark_accepted": "done and accepted",
			"remark_let_be": "left as it is", "remark_taken_back": "taken back",
			"crew_said": "waiting for your answer", "crew_asked": "asked, no answer yet", "crew_agreed": "to be done",
			"crew_declined": "declined", "crew_fixed": "fixed, for the homeowner to look at", "crew_accepted": "accepted",
			"crew_let_be": "left as it is", "crew_taken_back": "taken back",
			"act_ask": "Ask about it", "act_agree": "Agree to do it", "act_decline": "Decline, with a reason", "act_fix": "Say it is fixed",
			"act_reply": "Answer", "act_accept": "Accept", "act_still_there": "It is still there", "act_insist": "Ask for it again",
			"act_take_back": "Never mind",
			"signature":     "signature", "field_photo": "photo", "field_room": "room", "field_about": "trouble", "field_spot": "spot",
			"field_act": "answer", "field_remark": "remark", "field_day": "day",
		},
	}
}
