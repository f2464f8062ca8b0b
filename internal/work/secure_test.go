package work

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"path/filepath"
	"testing"
	"time"

	"github.com/nats-io/nkeys"
)

// certificates makes an authority, and a certificate of it for this machine:
// the names of their files.
func certificates(t *testing.T, dir string) (ca, cert, key string) {
	t.Helper()
	make := func(name string, c, parent *x509.Certificate, signer *ecdsa.PrivateKey) (*x509.Certificate,
		*ecdsa.PrivateKey) {
		k, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		if signer == nil {
			parent, signer = c, k
		}
		c.SerialNumber, c.NotAfter = big.NewInt(time.Now().UnixNano()), time.Now().Add(time.Hour)
		b, err := x509.CreateCertificate(rand.Reader, c, parent, &k.PublicKey, signer)
		if err != nil {
			t.Fatal(err)
		}
		private, err := x509.MarshalECPrivateKey(k)
		if err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(dir, name+".pem"), string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: b})))
		write(t, filepath.Join(dir, name+".key"),
			string(pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: private})))
		return c, k
	}
	authority, signer := make("ca",
		&x509.Certificate{Subject: pkix.Name{CommonName: "test authority"}, IsCA: true, BasicConstraintsValid: true,
			KeyUsage: x509.KeyUsageCertSign}, nil, nil)
	make("end", &x509.Certificate{Subject: pkix.Name{CommonName: "test"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		KeyUsage:    x509.KeyUsageDigitalSignature,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth, x509.ExtKeyUsageClientAuth}}, authority, signer)
	return filepath.Join(dir, "ca.pem"), filepath.Join(dir, "end.pem"), filepath.Join(dir, "end.key")
}

// A server with TLS, client certificates and users lets in who has them, and
// nobody else; a configuration without a host is served on loopback.
func TestTLSAndCredentials(t *testing.T) {
	dir := t.TempDir()
	ca, cert, key := certificates(t, dir)
	user, err := nkeys.CreateUser()
	if err != nil {
		t.Fatal(err)
	}
	public, err := user.PublicKey()
	if err != nil {
		t.Fatal(err)
	}
	seed, err := user.Seed()
	if err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, "seed"), string(seed)+"\n")
	config := filepath.Join(dir, "server.conf")
	write(t, config, fmt.Sprintf(`port: -1
jetstream { store_dir: %q }
tls { cert_file: %q, key_file: %q, ca_file: %q, verify: true }
authorization { users: [ { nkey: %s } ] }
http_port: -1
log_file: %q
`, filepath.Join(dir, "store"), cert, key, ca, public, filepath.Join(dir, "log")))
	s, err := serveFile(config)
	if err != nil {
		t.Fatal(err)
	}
	defer s.stop()
	if host, _, err := net.SplitHostPort(s.s.Addr().String()); err != nil || host != loopback {
		t.Errorf("the server listens at %s", s.s.Addr())
	}
	if host, _, err := net.SplitHostPort(s.s.MonitorAddr().String()); err != nil || host != loopback {
		t.Errorf("the server is monitored at %s", s.s.MonitorAddr())
	}
	url := fmt.Sprintf("tls://127.0.0.1:%d", s.port())
	good := Broker{URL: url, CA: ca, Cert: cert, Key: key, NKey: filepath.Join(dir, "seed")}
	j := connect(t, good, Layout{})
	if _, err := j.Status(t.Context(), 1); err != nil {
		t.Error(err)
	}
	for name, b := range map[string]Broker{
		"no certificate": {URL: url, CA: ca, NKey: good.NKey},
		"no authority":   {URL: url, Cert: cert, Key: key, NKey: good.NKey},
		"no user":        {URL: url, CA: ca, Cert: cert, Key: key},
		"no seed":        {URL: url, CA: ca, Cert: cert, Key: key, NKey: ca},
		"no credentials": {URL: url, CA: ca, Cert: cert, Key: key, Creds: filepath.Join(dir, "nothing")},
	} {
		if c, err := b.Connect(t.Context(), "test", quiet()); err == nil {
			c.Close()
			t.Errorf("%s: let in", name)
		}
	}
}
