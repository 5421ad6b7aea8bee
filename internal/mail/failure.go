package mail

import (
	"crypto/tls"
	"crypto/x509"
	"errors"
	"net/textproto"
	"strings"

	gomail "github.com/wneessen/go-mail"

	"longpoint/internal/message"
)

// failure sorts what went wrong. Answers of 5yz are for good (RFC 5321, 4.2.1) where they are about the address; what is
// wrong with the service's own set-up is tried again, for somebody may set it right.
func failure(err error) *message.Failure {
	var (
		sent    *gomail.SendError
		replied *textproto.Error
		unknown x509.UnknownAuthorityError
		host    x509.HostnameError
		invalid x509.CertificateInvalidError
		record  tls.RecordHeaderError
		verify  *tls.CertificateVerificationError
	)
	if errors.As(err, &sent) {
		f := &message.Failure{Trouble: message.TurnedAway, Code: sent.ErrorCode()}
		switch {
		case f.Code == 0 && (sent.Reason == gomail.ErrConnCheck || sent.Reason == gomail.ErrSMTPReset):
			f.Trouble = message.NoAnswer
		case sent.Reason == gomail.ErrSMTPRcptTo:
			f.Trouble, f.ForGood = message.AddressRefused, f.Code >= 500
		case sent.Reason == gomail.ErrGetSender, sent.Reason == gomail.ErrGetRcpts, sent.Reason == gomail.ErrWriteContent && f.Code == 0:
			f.Trouble = message.NotWritten
		case f.Code == 0:
			f.Trouble = message.NoAnswer
		}
		return f
	}
	switch {
	case errors.As(err, &unknown), errors.As(err, &host), errors.As(err, &invalid), errors.As(err, &record), errors.As(err, &verify),
		strings.Contains(err.Error(), "STARTTLS"):
		return &message.Failure{Trouble: message.NotPrivate}
	case errors.As(err, &replied):
		f := &message.Failure{Trouble: message.TurnedAway, Code: replied.Code}
		if replied.Code == 530 || replied.Code == 534 || replied.Code == 535 || replied.Code == 538 { // RFC 4954, 6
			f.Trouble = message.NotLetIn
		}
		return f
	case strings.Contains(strings.ToLower(err.Error()), "auth"):
		return &message.Failure{Trouble: message.NotLetIn}
	}
	return &message.Failure{Trouble: message.NoAnswer}
}
