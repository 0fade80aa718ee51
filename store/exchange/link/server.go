package link

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"strings"
	"time"

	"github.com/nats-io/nats.go"

	"netlore/query/diag"
	"netlore/store/exchange"
)

// Server is where a log is, and how this bench is let in.
type Server struct {
	urls  []string
	local bool // on this very machine
	plain bool // and to be talked to without encryption: nobody else reads along
	With  Credentials
}

// Credentials are files by which a bench is let in, read anew for each connection.
// All are optional. Those with something secret in them must be their owner's alone.
type Credentials struct {
	File      string // token and seed, as made for the user by whoever runs the server
	User      string
	Password  []byte // of the user
	Authority string // certificate of who has signed that of the server
	Cert, Key string // certificate of this bench, and the private key to it
}

// ParseServer reads the address of a server, or those of several of one cluster with
// commas between them: tls://log.example.org, nats://127.0.0.1:4222.
func ParseServer(text string, with Credentials) (*Server, error) {
	s := &Server{local: true, plain: true, With: with}
	for one := range strings.SplitSeq(text, ",") {
		u, err := url.Parse(one)
		switch {
		case err != nil || u.Host == "" || u.Hostname() == "" || u.Path != "" || u.RawQuery != "":
			return nil, noAddress(one)
		case u.User != nil:
			return nil, complaint(codeAddress, "", "a name and password in the address can be read by everybody on this machine", "--user NAME gives the name; the password is asked for, or --password-file names a file with it")
		case u.Scheme != "tls" && u.Scheme != "nats":
			return nil, complaint(codeAddress, "", fmt.Sprintf("an address begins with tls:// or nats://, not with %q", u.Scheme+"://"))
		case u.Port() == "":
			u.Host = net.JoinHostPort(u.Hostname(), "4222")
		}
		s.local = s.local && here(u.Hostname())
		s.plain = s.plain && s.local && u.Scheme == "nats"
		s.urls = append(s.urls, u.String())
	}
	return s, nil
}

// noAddress is what is told of something that is no address. What may be a password is not
// told again.
func noAddress(text string) error {
	what := "it"
	if !strings.Contains(text, "@") {
		what = diag.Quote(text)
	}
	return complaint(codeAddress, "", what+" is no address of a server", "one is tls://log.example.org, or tls://log.example.org:4222")
}

// here reports whether an address is that of this very machine.
func here(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// String is the address without anything secret.
func (s *Server) String() string { return strings.Join(s.urls, ",") }

// connect connects to one of the servers. Failed is told what goes wrong later that
// no call returns. There is no reconnecting underneath: each connection begins with a
// look at what the log has become.
func (s *Server) connect(ctx context.Context, patience time.Duration, failed func(error)) (*nats.Conn, error) {
	options := []nats.Option{nats.Name("netlore"), nats.NoReconnect(), nats.Timeout(patience), nats.SetCustomDialer(dialer{ctx, patience}),
		nats.PingInterval(patience), nats.MaxPingsOutstanding(2),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { failed(err) })}
	more, err := s.With.options(s.plain)
	if err != nil {
		return nil, err
	}
	for tries := 1; ; tries++ {
		nc, err := nats.Connect(s.String(), append(options, more...)...)
		if err == nil {
			return nc, nil
		}
		if tries == triesToHear || !hungUp(err) {
			return nil, s.refused(err)
		}
	}
}

// triesToHear is how often a server is asked that hangs up without a word. One that does not
// take a certificate says so, but it is heard only if that comes before we have written
// something.
const triesToHear = 4

// hungUp reports whether a server has hung up as soon as all was encrypted.
func hungUp(err error) bool {
	return errors.Is(err, nats.ErrTLS) && strings.Contains(err.Error(), "after TLS handshake")
}

// dialer gives up when the link is stopped.
type dialer struct {
	ctx      context.Context
	patience time.Duration
}

func (d dialer) Dial(network, address string) (net.Conn, error) {
	return (&net.Dialer{Timeout: d.patience}).DialContext(d.ctx, network, address)
}

func (c *Credentials) options(plain bool) (all []nats.Option, err error) {
	config := &tls.Config{MinVersion: tls.VersionTLS12}
	if c.Authority != "" {
		if config.RootCAs, err = authority(c.Authority); err != nil {
			return nil, err
		}
	}
	if c.Cert != "" {
		own, err := c.certificate()
		if err != nil {
			return nil, err
		}
		config.Certificates = []tls.Certificate{own}
	}
	if !plain {
		all = append(all, nats.Secure(config))
	} else {
		all = append(all, func(o *nats.Options) error { o.TLSConfig = config; return nil }) // if the server wants it
	}
	if c.File != "" {
		text, err := exchange.ReadPrivate(c.File)
		if err != nil {
			return nil, unreadable(c.File, err)
		}
		if !bytes.Contains(text, []byte("SEED")) {
			return nil, complaint(codeFile, c.File, "it is no file of credentials: there is no seed in it")
		}
		all = append(all, nats.UserCredentialBytes(text))
	}
	if c.User != "" {
		all = append(all, nats.UserInfo(c.User, string(c.Password)))
	}
	return all, nil
}

func authority(path string) (*x509.CertPool, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, unreadable(path, err)
	}
	pool := x509.NewCertPool()
	if !pool.AppendCertsFromPEM(text) {
		return nil, complaint(codeFile, path, "there is no certificate in it")
	}
	return pool, nil
}

func (c *Credentials) certificate() (tls.Certificate, error) {
	cert, err := os.ReadFile(c.Cert)
	if err != nil {
		return tls.Certificate{}, unreadable(c.Cert, err)
	}
	key, err := exchange.ReadPrivate(c.Key)
	if err != nil {
		return tls.Certificate{}, unreadable(c.Key, err)
	}
	pair, err := tls.X509KeyPair(cert, key)
	if err != nil {
		return pair, complaint(codeFile, c.Cert, "it does not go with the private key in "+c.Key+", or one of the two is none")
	}
	return pair, nil
}

// unreadable words that a file cannot be read; a complaint stays one.
func unreadable(path string, err error) error {
	var gone *os.PathError
	if errors.As(err, &gone) {
		return complaint(codeFile, path, "it cannot be read: "+gone.Err.Error())
	}
	return err
}

const ownCertificate = "--cert FILE --key FILE name one that an authority of the server has signed"

// refused words why there is no connection.
func (s *Server) refused(err error) error {
	var unknown x509.UnknownAuthorityError
	var name x509.HostnameError
	var invalid x509.CertificateInvalidError
	var network *net.OpError
	var host *net.DNSError
	switch {
	case errors.As(err, &unknown):
		return complaint(codeCertificate, s.String(), "the certificate of the server is signed by an authority that is not known here", "--ca FILE names the certificate of an authority of the shops' own")
	case errors.As(err, &name):
		return complaint(codeCertificate, s.String(), "the certificate of the server is for another name: "+name.Error())
	case errors.As(err, &invalid):
		return complaint(codeCertificate, s.String(), "the certificate of the server does not hold: "+invalid.Error(), "look at the clock of this machine, too")
	case errors.Is(err, nats.ErrAuthorization), errors.Is(err, nats.ErrAuthExpired), errors.Is(err, nats.ErrAuthRevoked):
		return complaint(codeCredentials, s.String(), "the server does not let this bench in: wrong name, password or credentials, or none where some are wanted", "--user NAME, or --creds FILE")
	case errors.Is(err, nats.ErrSecureConnWanted) && s.local:
		return complaint(codeOpen, s.String(), "the server does not encrypt, and tls:// wants that it does", "on this machine it need not: nats:// instead of tls://")
	case errors.Is(err, nats.ErrSecureConnWanted):
		return complaint(codeOpen, s.String(), "the server does not encrypt, and it is not on this machine, so nothing is sent to it")
	case errors.As(err, &network) && network.Op == "remote error":
		return complaint(codeCertificate, s.String(), "the server wants a certificate of this bench, or does not trust the one it got: "+network.Err.Error(), ownCertificate)
	case hungUp(err):
		return complaint(codeCertificate, s.String(), "the server hangs up, as one does that wants a certificate of this bench, or does not trust the one it got", ownCertificate)
	case errors.As(err, &host) && host.IsNotFound:
		return complaint(codeServer, s.String(), "no machine of the name "+host.Name+" is known here")
	case errors.As(err, &network) && network.Op == "read" && network.Timeout(), errors.Is(err, nats.ErrNoInfoReceived):
		return complaint(codeServer, s.String(), "what answers there does not answer as a NATS server does")
	case errors.Is(err, nats.ErrNoServers), errors.As(err, &network) && network.Op == "dial" && network.Timeout():
		return complaint(codeServer, s.String(), "nobody answers there")
	}
	return complaint(codeServer, s.String(), "the server cannot be reached: "+strings.TrimPrefix(err.Error(), "nats: "))
}
