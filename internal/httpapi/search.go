package httpapi

import (
	"context"
	"net/http"
	"strings"
	"unicode"
)

// Hit is something found, without words for the reader.
type Hit struct {
	Kind   string
	JobID  string
	Job    string
	RoomID string
	Room   string
	ItemID string
	Item   string
	Seq    int64
	Said   string
}

// SearchHit is something that holds the words looked for.
type SearchHit struct {
	Kind   string       `json:"kind" enum:"job,room,item,entry"`
	JobID  string       `json:"job_id" format:"uuid"`
	Job    string       `json:"job"`
	RoomID string       `json:"room_id,omitempty" format:"uuid"`
	Room   string       `json:"room,omitempty"`
	ItemID string       `json:"item_id,omitempty" format:"uuid"`
	Item   string       `json:"item,omitempty"`
	Seq    int64        `json:"seq,omitempty" doc:"The entry's number in the job's log"`
	Parts  []SearchPart `json:"parts" doc:"The text round the words, parted where they are"`
}

// SearchPart is a piece of text, and whether it is a word looked for.
type SearchPart struct {
	Text string `json:"text"`
	Hit  bool   `json:"hit,omitempty"`
}

// SearchHits is what was found, the best first.
type SearchHits struct {
	Hits []SearchHit `json:"hits" doc:"At most forty"`
}

type (
	searchInput struct {
		Q string `query:"q" maxLength:"200" doc:"Words, each found by how it begins; all of them are wanted"`
	}
	searchOutput struct{ Body SearchHits }
)

func (s *Server) registerSearch() {
	add(s, operation("search", http.MethodGet, "/search", "Find jobs, rooms, openings and what was written in the log, in the jobs the person may see"),
		func(ctx context.Context, in *searchInput) (*searchOutput, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			hits, words, err := s.cfg.Store.Search(ctx, v, in.Q)
			if err != nil {
				return nil, err
			}
			out := SearchHits{Hits: make([]SearchHit, 0, len(hits))}
			for _, h := range hits {
				out.Hits = append(out.Hits, SearchHit{Kind: h.Kind, JobID: h.JobID, Job: h.Job, RoomID: h.RoomID, Room: h.Room, ItemID: h.ItemID, Item: h.Item,
					Seq: h.Seq, Parts: snippet(h.Said, words)})
			}
			return &searchOutput{Body: out}, nil
		})
}

// around is how much text is shown before the first word that was looked for, and in all.
const (
	aroundBefore = 40
	aroundAll    = 160
)

// snippet cuts a text to what is round the words, and parts it at them. words are plain; plain
// is how a word of the text compares.
func snippet(said string, words Sought) []SearchPart {
	runes := []rune(strings.Join(strings.Fields(said), " "))
	type span struct{ from, to int }
	var spans []span
	for i := 0; i < len(runes); {
		if !unicode.IsLetter(runes[i]) && !unicode.IsDigit(runes[i]) {
			i++
			continue
		}
		from := i
		for i < len(runes) && (unicode.IsLetter(runes[i]) || unicode.IsDigit(runes[i]) || unicode.IsMark(runes[i])) {
			i++
		}
		if n := words.begin(string(runes[from:i])); n > 0 {
			spans = append(spans, span{from, from + min(n, i-from)})
		}
	}
	start := 0
	if len(spans) > 0 && spans[0].from > aroundBefore {
		start = spans[0].from - aroundBefore
		for start < spans[0].from && runes[start-1] != ' ' {
			start++
		}
	}
	end := min(len(runes), start+aroundAll)
	out := []SearchPart{}
	put := func(text string, hit bool) {
		if text != "" {
			out = append(out, SearchPart{Text: text, Hit: hit})
		}
	}
	at, lead := start, ""
	if start > 0 {
		lead = "… "
	}
	for _, s := range spans {
		if s.from < at || s.to > end {
			continue
		}
		put(lead+string(runes[at:s.from]), false)
		put(string(runes[s.from:s.to]), true)
		at, lead = s.to, ""
	}
	rest := lead + string(runes[at:end])
	if end < len(runes) {
		rest += " …"
	}
	put(rest, false)
	return out
}

// Sought are the words of a question as they are compared, and how a text is made so.
type Sought struct {
	Words []string
	Plain func(string) string
}

// begin is how many characters of a word were looked for, 0 where it does not begin so.
func (s Sought) begin(word string) int {
	plain := s.Plain(word)
	longest := 0
	for _, w := range s.Words {
		if strings.HasPrefix(plain, w) {
			longest = max(longest, len([]rune(w)))
		}
	}
	return longest
}
