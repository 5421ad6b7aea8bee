package joblog

// What may be withdrawn stands on one of an item's lists. The loops are written out: a
// generic one is compiled once for each list, and keeps what prints a time in the phone's
// copy of the rules.

type list int

const (
	nowhere list = iota
	inTakes
	inFasteners
	inTreatments
	inWallGaps
	inCoats
	inPasses
	inSawn
	inPhotos
	inSandings
)

// locate finds what a command has left on the item.
func (it *Item) locate(id string) (list, int) {
	if at := locateTake(it.Takes, id); at >= 0 {
		return inTakes, at
	}
	for i := range it.Fasteners {
		if it.Fasteners[i].CommandID == id {
			return inFasteners, i
		}
	}
	for i := range it.Treatments {
		if it.Treatments[i].CommandID == id {
			return inTreatments, i
		}
	}
	for i := range it.WallGaps {
		if it.WallGaps[i].CommandID == id {
			return inWallGaps, i
		}
	}
	for i := range it.Coats {
		if it.Coats[i].CommandID == id {
			return inCoats, i
		}
	}
	for i := range it.Passes {
		if it.Passes[i].CommandID == id {
			return inPasses, i
		}
	}
	for i := range it.Sawn {
		if it.Sawn[i].CommandID == id {
			return inSawn, i
		}
	}
	if at := locatePhoto(it.Photos, id); at >= 0 {
		return inPhotos, at
	}
	for i := range it.Sandings {
		if it.Sandings[i].CommandID == id {
			return inSandings, i
		}
	}
	return nowhere, 0
}

// sawPart reports whether the command cut one part of a piece.
func (it *Item) sawPart(id string) bool {
	for i := range it.Sawn {
		if it.Sawn[i].CommandID == id {
			return it.Sawn[i].Parts > 0
		}
	}
	return false
}

// logged reports whether a command that may be withdrawn has left something on the item.
func (it *Item) logged(id string) bool {
	in, _ := it.locate(id)
	return in != nowhere
}

// withdraw takes off the item what a command left on it. Lists are made anew, so that a
// view made before keeps its own.
func (it *Item) withdraw(id string) {
	for in, at := it.locate(id); in != nowhere; in, at = it.locate(id) {
		switch in {
		case inTakes:
			it.Takes = withoutTake(it.Takes, at)
		case inFasteners:
			it.Fasteners = append(append([]FastenerEntry(nil), it.Fasteners[:at]...), it.Fasteners[at+1:]...)
		case inTreatments:
			it.Treatments = append(append([]TreatmentEntry(nil), it.Treatments[:at]...), it.Treatments[at+1:]...)
		case inWallGaps:
			it.WallGaps = append(append([]WallGapEntry(nil), it.WallGaps[:at]...), it.WallGaps[at+1:]...)
		case inCoats:
			it.Coats = append(append([]CoatEntry(nil), it.Coats[:at]...), it.Coats[at+1:]...)
		case inPasses:
			it.Passes = append(append([]Pass(nil), it.Passes[:at]...), it.Passes[at+1:]...)
		case inSawn: // a slip of the thumb at the saw: the piece is to be cut again
			gone := it.Sawn[at]
			it.Sawn = append(append([]Sawn(nil), it.Sawn[:at]...), it.Sawn[at+1:]...)
			for p := len(it.Pieces) - 1; p >= 0; p-- {
				// A piece joined of parts is not whole without any one of them.
				if it.Pieces[p].CommandID == id || gone.Parts > 0 && it.Pieces[p].Piece == gone.Piece && it.sawPart(it.Pieces[p].CommandID) {
					it.Pieces = append(append([]PieceCut(nil), it.Pieces[:p]...), it.Pieces[p+1:]...)
				}
			}
		case inPhotos:
			it.Photos = withoutPhoto(it.Photos, at)
		case inSandings:
			it.Sandings = append(append([]SandEntry(nil), it.Sandings[:at]...), it.Sandings[at+1:]...)
		}
	}
	dropChoices(it.Chosen, id)
}

// logged reports whether a command left a take on the room's walls.
func (l *Layout) logged(id string) bool { return locateTake(l.Takes, id) >= 0 }

// withdraw takes off the room's walls what a command left on them.
func (l *Layout) withdraw(id string) {
	for at := locateTake(l.Takes, id); at >= 0; at = locateTake(l.Takes, id) {
		l.Takes = withoutTake(l.Takes, at)
	}
	dropChoices(l.Chosen, id)
}

func locateTake(takes []Take, id string) int {
	for i := range takes {
		if takes[i].CommandID == id {
			return i
		}
	}
	return -1
}

func withoutTake(takes []Take, at int) []Take {
	return append(append([]Take(nil), takes[:at]...), takes[at+1:]...)
}

func dropChoices(chosen map[string]Choice, take string) {
	for reading, c := range chosen {
		if c.TakeID == take {
			delete(chosen, reading)
		}
	}
}
