package mail

import (
	"bufio"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// Sink is a mail server for demonstration and tests: what it is sent it writes into a folder, a file a message, and passes
// nothing on. It speaks as much of RFC 5321 as a message takes, to programs on this machine.
type Sink struct {
	listener net.Listener
	dir      string

	mu      sync.Mutex
	refusal string
	talking map[net.Conn]bool
	open    sync.WaitGroup
}

const (
	sinkTime    = 30 * time.Second
	mostMessage = 1 << 20
)

// OpenSink listens on a free port of this machine and keeps what comes in the folder dir. Close it when done.
func OpenSink(dir string) (*Sink, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	s := &Sink{listener: l, dir: dir, talking: map[net.Conn]bool{}}
	s.open.Go(s.serve)
	return s, nil
}

// URL is where a Sender reaches it.
func (s *Sink) URL() string { return "smtp+plain://" + s.listener.Addr().String() }

// Refuse makes it answer so to every recipient, like "451 try later"; empty takes them again.
func (s *Sink) Refuse(answer string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.refusal = answer
}

// Close hangs up on whoever is talking and waits for them; what was kept stays.
func (s *Sink) Close() error {
	err := s.listener.Close()
	s.mu.Lock()
	for c := range s.talking {
		_ = c.Close()
	}
	s.talking = nil
	s.mu.Unlock()
	s.open.Wait()
	return err
}

func (s *Sink) serve() {
	for {
		c, err := s.listener.Accept()
		if err != nil {
			return
		}
		s.mu.Lock()
		if s.talking == nil {
			s.mu.Unlock()
			_ = c.Close()
			return
		}
		s.talking[c] = true
		s.mu.Unlock()
		s.open.Go(func() {
			s.talk(c)
			_ = c.Close()
			s.mu.Lock()
			delete(s.talking, c)
			s.mu.Unlock()
		})
	}
}

func (s *Sink) talk(c net.Conn) {
	_ = c.SetDeadline(time.Now().Add(sinkTime))
	in := bufio.NewReader(c)
	say := func(line string) { _, _ = fmt.Fprintf(c, "%s\r\n", line) }
	say("220 longpoint keeps what it is sent")
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			return
		}
		verb, _, _ := strings.Cut(strings.ToUpper(strings.TrimSpace(line)), " ")
		switch verb {
		case "EHLO", "HELO":
			say("250 longpoint")
		case "RCPT":
			s.mu.Lock()
			answer := s.refusal
			s.mu.Unlock()
			if answer == "" {
				answer = "250 yes"
			}
			say(answer)
		case "DATA":
			say("354 go on")
			text, err := body(in)
			if err == nil {
				err = s.keep(text)
			}
			if err != nil {
				say("451 not kept")
				return
			}
			say("250 kept")
		case "QUIT":
			say("221 bye")
			return
		case "MAIL", "RSET", "NOOP":
			say("250 yes")
		default:
			say("502 not here")
		}
	}
}

// body reads to the line with a dot alone and takes away the dots that were put before dots.
func body(in *bufio.Reader) (string, error) {
	var b strings.Builder
	for {
		line, err := in.ReadString('\n')
		switch {
		case err != nil:
			return "", err
		case line == ".\r\n":
			return b.String(), nil
		case b.Len()+len(line) > mostMessage:
			return "", errors.New("longer than any message of ours")
		}
		b.WriteString(strings.TrimPrefix(line, "."))
	}
}

// keep gives a message the folder's next number. It has its name only once it is whole.
func (s *Sink) keep(text string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	part := filepath.Join(s.dir, "part")
	if err := os.WriteFile(part, []byte(text), 0o600); err != nil {
		return err
	}
	kept, err := filepath.Glob(filepath.Join(s.dir, "*.eml"))
	if err != nil {
		return err
	}
	n := 0
	if len(kept) > 0 { // Glob sorts
		_, _ = fmt.Sscanf(filepath.Base(kept[len(kept)-1]), "%d.eml", &n)
	}
	return os.Rename(part, filepath.Join(s.dir, fmt.Sprintf("%06d.eml", n+1)))
}
