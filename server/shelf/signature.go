package shelf

import (
	"bytes"
	"crypto/ed25519"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/blake2b"
)

// Sizes in minisign's format: two letters for the algorithm, a key's number, and
// what follows.
const (
	keyNumber     = 8
	publicBytes   = 2 + keyNumber + ed25519.PublicKeySize
	sealBytes     = 2 + keyNumber + ed25519.SignatureSize
	longestSigned = 4 << 10
)

// Key is a public key that signs manifests.
type Key struct {
	number [keyNumber]byte
	public ed25519.PublicKey
}

// ParseKey reads a public key in minisign's format: its base64 line by itself, or
// below a line with a comment.
func ParseKey(text string) (Key, error) {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	raw, err := base64.StdEncoding.Strict().DecodeString(strings.TrimSpace(lines[len(lines)-1]))
	if err != nil || len(raw) != publicBytes || string(raw[:2]) != "Ed" || len(lines) > 2 {
		return Key{}, errors.New("the public key is not in minisign's format: a comment and a line of base64")
	}
	k := Key{public: ed25519.PublicKey(raw[2+keyNumber:])}
	copy(k.number[:], raw[2:])
	return k, nil
}

// String is the key's number as minisign prints it, without leading zeros.
func (k Key) String() string {
	return fmt.Sprintf("%X", binary.LittleEndian.Uint64(k.number[:]))
}

// verify holds a signature in minisign's format against the bytes that it signs:
// an Ed25519 signature (RFC 8032) of the bytes ("Ed") or of their BLAKE2b-512
// digest ("ED"), and one of that signature with the trusted comment.
func verify(signed, signature []byte, keys []Key) error {
	seal, comment, whole, err := splitSignature(signature)
	if err != nil {
		return err
	}
	unfit := fmt.Errorf("%s was made with a key that is not trusted here", SignatureFile)
	for _, key := range keys {
		if !bytes.Equal(key.number[:], seal[2:2+keyNumber]) {
			continue
		}
		// Numbers are drawn at random and may meet.
		if unfit = key.verify(signed, seal, comment, whole); unfit == nil {
			return nil
		}
	}
	return unfit
}

func (k Key) verify(signed, seal, comment, whole []byte) error {
	switch string(seal[:2]) {
	case "Ed":
	case "ED":
		sum := blake2b.Sum512(signed)
		signed = sum[:]
	default:
		return fmt.Errorf("%s uses an algorithm that is not known; sign with Ed25519 in minisign's format", SignatureFile)
	}
	signature := seal[2+keyNumber:]
	if !ed25519.Verify(k.public, signed, signature) {
		return fmt.Errorf("the signature of %s does not fit it; one of the two was changed", ManifestFile)
	}
	if !ed25519.Verify(k.public, append(bytes.Clone(signature), comment...), whole) {
		return fmt.Errorf("the trusted comment of %s was changed", SignatureFile)
	}
	return nil
}

const (
	untrusted = "untrusted comment: "
	trusted   = "trusted comment: "
)

// splitSignature takes the four lines of a signature apart.
func splitSignature(text []byte) (seal, comment, whole []byte, err error) {
	unlike := fmt.Errorf("%s is no signature in minisign's format", SignatureFile)
	if len(text) > longestSigned {
		return nil, nil, nil, unlike
	}
	lines := bytes.Split(bytes.TrimSuffix(text, []byte("\n")), []byte("\n"))
	if len(lines) != 4 || !bytes.HasPrefix(lines[0], []byte(untrusted)) || !bytes.HasPrefix(lines[2], []byte(trusted)) {
		return nil, nil, nil, unlike
	}
	if seal, err = base64.StdEncoding.Strict().DecodeString(string(lines[1])); err != nil || len(seal) != sealBytes {
		return nil, nil, nil, unlike
	}
	if whole, err = base64.StdEncoding.Strict().DecodeString(string(lines[3])); err != nil || len(whole) != ed25519.SignatureSize {
		return nil, nil, nil, unlike
	}
	return seal, bytes.TrimPrefix(lines[2], []byte(trusted)), whole, nil
}
