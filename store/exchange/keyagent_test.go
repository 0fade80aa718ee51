//go:build unix

package exchange

import (
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh/agent"
)

// agentWith runs an ssh-agent in this process, and gives the public file of a key that it
// holds and that is in no file.
func agentWith(t *testing.T) (keys agent.Agent, public string) {
	t.Helper()
	dir, err := os.MkdirTemp("", "agent") // the path of a socket has to be short
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	socket := filepath.Join(dir, "s")
	listener, err := net.Listen("unix", socket)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listener.Close() })
	keys = agent.NewKeyring()
	go func() {
		for {
			conn, err := listener.Accept()
			if err != nil {
				return
			}
			go func() { defer conn.Close(); agent.ServeAgent(keys, conn) }()
		}
	}()
	t.Setenv(agentSocket, socket)
	key, err := newKey()
	if err != nil {
		t.Fatal(err)
	}
	if err := keys.Add(agent.AddedKey{PrivateKey: key}); err != nil {
		t.Fatal(err)
	}
	held, err := keys.List()
	if err != nil {
		t.Fatal(err)
	}
	return keys, file(t, "id_ed25519.pub", []byte(held[0].String()+"\n"))
}

// TestAgentSigns has an ssh-agent sign for a bench and for a shop, whose private keys are
// in no file of the identity, and lets ssh-keygen check it.
func TestAgentSigns(t *testing.T) {
	haveKeygen(t)
	for name, making := range map[string]func(public string) Making{
		"the bench's key": func(public string) Making { return Making{Shop: "Heron Repair", Bench: "bench-1", BenchKey: public} },
		"the shop's key":  func(public string) Making { return Making{Shop: "Heron Repair", Bench: "bench-1", ShopKey: public} },
		"both": func(public string) Making {
			return Making{Shop: "Heron Repair", Bench: "bench-1", BenchKey: public, ShopKey: public}
		},
	} {
		t.Run(name, func(t *testing.T) {
			keys, public := agentWith(t)
			dir := filepath.Join(t.TempDir(), "identity")
			if _, err := Make(dir, making(public), nil); err != nil {
				t.Fatal(err)
			}
			i := opened(t, dir)
			batches, err := i.Batches(About{Of: "board Wren rev 1", Licence: "CC0-1.0"}, []string{"part C1 10uF\n"}, nil, morning)
			if err != nil {
				t.Fatal(err)
			}
			out, err := keygen(t, batches[0].Signed, "-Y", "verify", "-f", file(t, "signers", []byte(i.SignersLines())), "-I", "bench-1", "-n", BatchNamespace, "-s", file(t, "1.sig", batches[0].Signature))
			if err != nil || !strings.Contains(out, "Good \"netlore-batch\" signature for bench-1") {
				t.Errorf("%v: %s", err, out)
			}
			if _, err := Change(dir, nil, morning, nil); err != nil {
				t.Errorf("the key of the shop cannot be changed: %v", err)
			}
			if err := keys.RemoveAll(); err != nil {
				t.Fatal(err)
			}
			if name != "the shop's key" {
				_, err = Open(dir, nil)
				wantCode(t, err, "X109")
			}
		})
	}
}

// TestNoAgent tells plainly what is missing when no agent has the key.
func TestNoAgent(t *testing.T) {
	keys, public := agentWith(t)
	m := Making{Shop: "Heron Repair", Bench: "bench-1", BenchKey: public}
	if err := keys.RemoveAll(); err != nil {
		t.Fatal(err)
	}
	made := func(m Making) error {
		_, err := Make(filepath.Join(t.TempDir(), "identity"), m, nil)
		return err
	}
	wantCode(t, made(m), "X109")
	t.Setenv(agentSocket, filepath.Join(t.TempDir(), "nobody"))
	wantCode(t, made(m), "X109")
	t.Setenv(agentSocket, "")
	wantCode(t, made(m), "X109")
	m.BenchKey = file(t, "id.pub", []byte("hello\n"))
	wantCode(t, made(m), "X102")
}
