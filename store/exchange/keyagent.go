package exchange

import (
	"errors"
	"io"
	"net"
	"os"
	"time"

	"golang.org/x/crypto/ssh"
	"golang.org/x/crypto/ssh/agent"
)

// agentSocket is where an ssh-agent listens, as its own environment says.
const agentSocket = "SSH_AUTH_SOCK"

// How long an agent may take to be reached, and to sign: it may ask somebody first.
const (
	agentReached = 5 * time.Second
	agentSigns   = time.Minute
)

// agentSigner signs with a key that an ssh-agent holds, and that no file here has.
type agentSigner struct {
	file string // with the public key, for messages
	key  ssh.PublicKey
}

// fromAgent is a signer for a public key, one line of OpenSSH, if the agent has the
// private one.
func fromAgent(file string, line []byte) (ssh.Signer, error) {
	key, _, err := ParseKey(line)
	if err != nil {
		return nil, complaint("X102", file, err.Error(), "name the file with the private key, or the .pub of a key that ssh-agent holds")
	}
	s := &agentSigner{file, key.public()}
	return s, s.ask(func(a agent.ExtendedAgent) error {
		held, err := a.List()
		for _, one := range held {
			if string(one.Blob) == string(s.key.Marshal()) {
				return nil
			}
		}
		if err == nil {
			err = errors.New("it does not hold that key")
		}
		return err
	})
}

// PublicKey is the key of which the agent has the private part.
func (s *agentSigner) PublicKey() ssh.PublicKey { return s.key }

// Sign has the agent sign.
func (s *agentSigner) Sign(_ io.Reader, data []byte) (signature *ssh.Signature, err error) {
	return signature, s.ask(func(a agent.ExtendedAgent) (err error) {
		signature, err = a.Sign(s.key, data)
		return err
	})
}

// ask asks the agent for something.
func (s *agentSigner) ask(what func(agent.ExtendedAgent) error) error {
	path := os.Getenv(agentSocket)
	if path == "" {
		return complaint("X109", s.file, "the private key is with ssh-agent, and none is running here: "+agentSocket+" is not set", "eval $(ssh-agent) starts one, and ssh-add gives it the key")
	}
	conn, err := net.DialTimeout("unix", path, agentReached)
	if err != nil {
		return complaint("X109", s.file, "the private key is with ssh-agent, which cannot be reached: "+err.Error(), "eval $(ssh-agent) starts one, and ssh-add gives it the key")
	}
	defer conn.Close()
	err = conn.SetDeadline(time.Now().Add(agentSigns))
	if err == nil {
		err = what(agent.NewClient(conn))
	}
	if err != nil {
		return complaint("X109", s.file, "the private key is with ssh-agent, which did not sign with it: "+err.Error(), "ssh-add -l lists what it holds, and ssh-add FILE gives it a key")
	}
	return nil
}
