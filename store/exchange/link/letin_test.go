package link

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/jwt/v2"
	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nkeys"
)

// letIn is one way to ask to be let in, and what comes of it.
type letIn struct {
	why  string
	with Credentials
	code string
}

// tryAll asks a server in each way, the last of which is to be let in.
func tryAll(t *testing.T, address string, all []letIn) {
	t.Helper()
	heron := newBench(t, "Heron")
	heron.says("part C1 10uF")
	for _, c := range all {
		if err := heron.onceWith(address, c.with); CodeOf(err) != c.code || c.code == "" && err != nil {
			t.Errorf("%s: %v, want %q", c.why, err, c.code)
		}
	}
	if n := count[Sent](heron, nil); n != 1 {
		t.Errorf("heron was let in and has sent %d times", n)
	}
}

// TestClientCertificate has a server that wants a certificate of each bench.
func TestClientCertificate(t *testing.T) {
	others := t.TempDir()
	t.Chdir(others)
	authorityOf(t)
	t.Chdir(t.TempDir())
	authorityOf(t)
	config := `
jetstream { store_dir: "jetstream" }
tls {
  cert_file: "server.pem"
  key_file: "server.key"
  ca_file: "authority.pem"
  verify: true
}
`
	if err := os.WriteFile("netlore.conf", []byte(config), 0o600); err != nil {
		t.Fatal(err)
	}
	opt, err := server.ProcessConfigFile("netlore.conf")
	if err != nil {
		t.Fatal(err)
	}
	opt.TLSTimeout = longest.Seconds()
	address := strings.Replace(serve(t, *opt).ClientURL(), "nats://", "tls://", 1)
	tryAll(t, address, []letIn{
		{"no certificate", Credentials{Authority: "authority.pem"}, codeCertificate},
		{"one of another authority", Credentials{Authority: "authority.pem", Cert: others + "/bench.pem", Key: others + "/bench.key"}, codeCertificate},
		{"that of a server", Credentials{Authority: "authority.pem", Cert: "server.pem", Key: "server.key"}, codeCertificate},
		{"a certificate", Credentials{Authority: "authority.pem", Cert: "bench.pem", Key: "bench.key"}, ""},
	})
}

// issuer signs what others are: an operator accounts, an account users.
type issuer struct {
	t    testing.TB
	pair nkeys.KeyPair
	key  string // public
}

func newIssuer(t testing.TB, pair nkeys.KeyPair, err error) issuer {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	key, err := pair.PublicKey()
	if err != nil {
		t.Fatal(err)
	}
	return issuer{t, pair, key}
}

func newOperator(t testing.TB) issuer {
	pair, err := nkeys.CreateOperator()
	return newIssuer(t, pair, err)
}

// account makes an account with so much room for logs on disk, and its token.
func (i issuer) account(name string, room int64) (account issuer, token string) {
	i.t.Helper()
	pair, err := nkeys.CreateAccount()
	account = newIssuer(i.t, pair, err)
	claims := jwt.NewAccountClaims(account.key)
	claims.Name = name
	claims.Limits.JetStreamLimits = jwt.JetStreamLimits{DiskStorage: room, MemoryStorage: room, Streams: jwt.NoLimit, Consumer: jwt.NoLimit}
	if token, err = claims.Encode(i.pair); err != nil {
		i.t.Fatal(err)
	}
	return account, token
}

// credentials makes a user, until a time, and writes the file of credentials for it, as nsc
// writes it.
func (i issuer) credentials(file string, until time.Time) {
	i.t.Helper()
	pair, err := nkeys.CreateUser()
	user := newIssuer(i.t, pair, err)
	claims := jwt.NewUserClaims(user.key)
	claims.Expires = until.Unix()
	token, err := claims.Encode(i.pair)
	if err != nil {
		i.t.Fatal(err)
	}
	seed, err := pair.Seed()
	if err != nil {
		i.t.Fatal(err)
	}
	text, err := jwt.FormatUserConfig(token, seed)
	if err != nil {
		i.t.Fatal(err)
	}
	if err := os.WriteFile(file, text, 0o600); err != nil {
		i.t.Fatal(err)
	}
}

// TestCredentials has a server that lets in whoever has a file of credentials that its
// operator stands for.
func TestCredentials(t *testing.T) {
	t.Chdir(t.TempDir())
	operator := newOperator(t)
	shops, shopsToken := operator.account("shops", jwt.NoLimit)
	system, systemToken := operator.account("system", 0)
	accounts := &server.MemAccResolver{}
	for of, token := range map[string]string{shops.key: shopsToken, system.key: systemToken} {
		if err := accounts.Store(of, token); err != nil {
			t.Fatal(err)
		}
	}
	soon := time.Now().Add(time.Hour)
	shops.credentials("heron.creds", soon)
	shops.credentials("late.creds", time.Now().Add(-time.Hour))
	stranger, _ := newOperator(t).account("shops", jwt.NoLimit)
	stranger.credentials("stranger.creds", soon)
	claims := jwt.NewOperatorClaims(operator.key)
	claims.SystemAccount = system.key
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir(), TrustedOperators: []*jwt.OperatorClaims{claims}, SystemAccount: system.key,
		AccountResolver: accounts, AuthTimeout: longest.Seconds()})
	tryAll(t, srv.ClientURL(), []letIn{
		{"no credentials", Credentials{}, codeCredentials},
		{"those of another operator", Credentials{File: "stranger.creds"}, codeCredentials},
		{"those that have run out", Credentials{File: "late.creds"}, codeCredentials},
		{"credentials", Credentials{File: "heron.creds"}, ""},
	})
}
