package packs

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"time"
)

// envHostCertificate carries the host's certificate to the pack, which lets nobody
// else in and answers with one of its own in the handshake line. Its name and form are
// go-plugin's.
const envHostCertificate = "PLUGIN_CLIENT_CERT"

// certificateLife outlasts every process.
const certificateLife = 10 * 365 * 24 * time.Hour

// newIdentity is a certificate of the host for one pack process, as the configuration
// that goes with it and as what the pack's environment carries. go-plugin would make one
// by itself, but on the curve P-521, which the TLS of gRPC in other languages refuses;
// P-256 is taken everywhere (RFC 8446, section 9.1), and quicker.
func newIdentity() (config *tls.Config, variable string, err error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, "", fmt.Errorf("making a key: %w", err)
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127))
	if err != nil {
		return nil, "", fmt.Errorf("drawing a number: %w", err)
	}
	now := time.Now()
	template := &x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "localhost"}, DNSNames: []string{"localhost"},
		NotBefore: now.Add(-time.Minute), NotAfter: now.Add(certificateLife),
		KeyUsage:    x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageClientAuth, x509.ExtKeyUsageServerAuth},
		// The other side trusts this one certificate, which signs itself.
		BasicConstraintsValid: true, IsCA: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, key.Public(), key)
	if err != nil {
		return nil, "", fmt.Errorf("making a certificate: %w", err)
	}
	config = &tls.Config{
		Certificates: []tls.Certificate{{Certificate: [][]byte{der}, PrivateKey: key}},
		MinVersion:   tls.VersionTLS12,
		ServerName:   "localhost",
		// RootCAs are filled in by go-plugin from the handshake line: the pack's own
		// certificate and no other.
	}
	text := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	return config, envHostCertificate + "=" + string(text), nil
}
