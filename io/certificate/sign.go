package certificate

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// Namespace keeps a signature on a sheet from passing for one on something else
// (OpenSSH, PROTOCOL.sshsig).
const Namespace = "roebook-provenance"

// ErrNoKeygen is told where OpenSSH is not installed.
var ErrNoKeygen = errors.New("ssh-keygen, which signs and checks, is not installed or not on the PATH")

// KeyFingerprint returns the fingerprint of an SSH key, "SHA256:...".
func KeyFingerprint(key string) (string, error) {
	if _, err := os.Stat(key); err != nil {
		return "", fmt.Errorf("there is no key file %s", key)
	}
	out, err := keygen(nil, "-l", "-E", "sha256", "-f", key)
	if err != nil {
		return "", err
	}
	fields := strings.Fields(out)
	if len(fields) < 2 || !strings.HasPrefix(fields[1], "SHA256:") {
		return "", fmt.Errorf("%s is no SSH key", key)
	}
	return fields[1], nil
}

// Sign adds a signature to a file of [Write], made by ssh-keygen with a key (of
// a public key the agent must hold the other half). It asks for the key's
// passphrase on the terminal where it has one.
func Sign(file []byte, key string) ([]byte, error) {
	sheet, err := Read(file)
	if err != nil {
		return nil, err
	}
	signature, err := keygen(sheet.Body, "-Y", "sign", "-n", Namespace, "-f", key)
	if err != nil {
		return nil, fmt.Errorf("the sheet could not be signed: %w", err)
	}
	return withSignature(sheet.Kind, sheet.Body, []byte(signature))
}

// Seal is what there is to say of a sheet's signature.
type Seal struct {
	State  string `json:"state"`  // one of the constants
	Key    string `json:"key"`    // its fingerprint, where it signed
	Signer string `json:"signer"` // as the allowed-signers file names it
	Why    string `json:"why"`
}

// States of a [Seal].
const (
	Unsigned   = "unsigned"
	Stripped   = "removed"     // the facts name a key, and there is no signature
	Good       = "good"        // by a key that the allowed-signers file has
	Unknown    = "key unknown" // it holds, and nobody vouches for the key
	Wrong      = "wrong"       // it is not of this file, or not by the key that the facts name
	NotChecked = "not checked"
)

// CheckSeal checks the signature of a sheet, with an allowed-signers file
// (ssh-keygen(1), ALLOWED SIGNERS) where one is given. Nothing is asked of a
// network.
func CheckSeal(s *Sheet, signers string) Seal {
	switch {
	case s.Signature == nil && s.Facts.SigningKey == "":
		return Seal{State: Unsigned}
	case s.Signature == nil:
		return Seal{State: Stripped, Key: s.Facts.SigningKey}
	}
	file, err := os.CreateTemp("", "roebook-signature-*")
	if err != nil {
		return Seal{State: NotChecked, Why: err.Error()}
	}
	defer os.Remove(file.Name())
	_, err = file.Write(s.Signature)
	if err = errors.Join(err, file.Close()); err != nil {
		return Seal{State: NotChecked, Why: err.Error()}
	}
	out, err := keygen(s.Body, "-Y", "check-novalidate", "-n", Namespace, "-s", file.Name())
	switch {
	case errors.Is(err, ErrNoKeygen):
		return Seal{State: NotChecked, Why: err.Error()}
	case err != nil:
		return Seal{State: Wrong, Why: err.Error()}
	}
	seal := Seal{State: Unknown}
	for _, word := range strings.Fields(out) {
		if strings.HasPrefix(word, "SHA256:") {
			seal.Key = word
		}
	}
	if seal.Key != s.Facts.SigningKey {
		return Seal{State: Wrong, Key: seal.Key, Why: "it is by another key than the sheet names"}
	}
	if signers == "" {
		return seal
	}
	who, err := keygen(nil, "-Y", "find-principals", "-s", file.Name(), "-f", signers)
	if err != nil {
		return seal
	}
	for name := range strings.Lines(who) {
		name = strings.TrimSpace(name)
		if _, err := keygen(s.Body, "-Y", "verify", "-f", signers, "-I", name, "-n", Namespace, "-s", file.Name()); err == nil {
			seal.State, seal.Signer = Good, name
			return seal
		}
	}
	return seal
}

// keygen runs ssh-keygen and returns what it prints.
func keygen(input []byte, args ...string) (string, error) {
	if _, err := exec.LookPath("ssh-keygen"); err != nil {
		return "", ErrNoKeygen
	}
	cmd := exec.Command("ssh-keygen", args...)
	cmd.Stdin = bytes.NewReader(input)
	var out, told bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &told
	if err := cmd.Run(); err != nil {
		words := strings.TrimSpace(told.String())
		if line, _, more := strings.Cut(words, "\n"); more {
			words = line
		}
		return "", fmt.Errorf("ssh-keygen: %s", orElse(words, err.Error()))
	}
	return out.String(), nil
}
