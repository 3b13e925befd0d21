package certificate

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// keys makes two keys and an allowed-signers file that has the first.
func keys(t *testing.T) (own, other, signers string) {
	t.Helper()
	if _, err := exec.LookPath("ssh-keygen"); err != nil {
		t.Skip("ssh-keygen is not installed")
	}
	dir := t.TempDir()
	for _, name := range []string{"own", "other"} {
		must(keygen(nil, "-q", "-t", "ed25519", "-N", "", "-C", name, "-f", filepath.Join(dir, name)))
	}
	own, other, signers = filepath.Join(dir, "own"), filepath.Join(dir, "other"), filepath.Join(dir, "signers")
	public := strings.Fields(string(must(os.ReadFile(own + ".pub"))))
	if err := os.WriteFile(signers, []byte("merrin@example.org "+public[0]+" "+public[1]+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	return own, other, signers
}

// Signed, unsigned, wrongly signed and cut off files are each told apart, in
// every kind of file.
func TestSignatures(t *testing.T) {
	own, other, signers := keys(t)
	f := sample()
	f.SigningKey = must(KeyFingerprint(own))
	plain := must(KeyFingerprint(own + ".pub"))
	if plain != f.SigningKey || !strings.HasPrefix(plain, "SHA256:") {
		t.Errorf("fingerprints %s and %s of one key", f.SigningKey, plain)
	}
	for _, kind := range []string{"html", "pdf", "json"} {
		body := must(Write(kind, f, nil, A4))
		signed := must(Sign(body, own))
		if again := must(Sign(body, own)); !bytes.Equal(signed, again) {
			t.Errorf("%s: two signatures of one file differ", kind)
		}
		sheet, err := Read(signed)
		if err != nil {
			t.Fatalf("%s: %v", kind, err)
		}
		if !bytes.Equal(sheet.Body, body) || !SamePage(sheet, f, nil) {
			t.Errorf("%s: the signed file is not what was signed", kind)
		}
		unsigned := sample()
		for name, c := range map[string]struct {
			file    []byte
			signers string
			want    string
		}{
			"signed":        {signed, signers, Good},
			"nobody's word": {signed, "", Unknown},
			"stripped":      {body, signers, Stripped},
			"unsigned":      {must(Write(kind, unsigned, nil, A4)), signers, Unsigned},
			"other key":     {must(Sign(body, other)), signers, Wrong},
			"no key named":  {must(Sign(must(Write(kind, unsigned, nil, A4)), own)), signers, Wrong},
			"changed":       {bytes.ReplaceAll(signed, []byte("roebook of the tests"), []byte("roebook of the Tests")), signers, Wrong},
			"moved over":    {moved(t, kind, signed), signers, Wrong},
		} {
			sheet, err := Read(c.file)
			if kind == "pdf" && name == "changed" {
				continue // the words of a page are packed there
			}
			if err != nil {
				t.Errorf("%s, %s: %v", kind, name, err)
				continue
			}
			if seal := CheckSeal(sheet, c.signers); seal.State != c.want {
				t.Errorf("%s, %s: %+v, want %s", kind, name, seal, c.want)
			} else if c.want == Good && (seal.Signer != "merrin@example.org" || seal.Key != f.SigningKey) {
				t.Errorf("%s: %+v", kind, seal)
			}
		}
		begin := bytes.Index(signed, []byte("BEGIN SSH"))
		for at := begin + 20; at < len(signed)-2; at += 25 {
			if _, err := Read(signed[:at]); !errors.Is(err, ErrCutOff) {
				t.Errorf("%s cut at %d of %d: %v", kind, at, len(signed), err)
			}
		}
		for _, more := range []string{"<script>alert(1)</script>\n", "1 0 obj\nendobj\n"} {
			// beside the signature, which does not cover it
			at := bytes.Index(signed, []byte("-----END SSH"))
			if s, err := Read(bytes.Join([][]byte{signed[:at], []byte(more), signed[at:]}, nil)); err == nil && CheckSeal(s, signers).State == Good {
				t.Errorf("%s: %q in the signature goes through", kind, more)
			}
			if s, err := Read(append(bytes.Clone(signed), more...)); err == nil && CheckSeal(s, signers).State == Good {
				t.Errorf("%s: %q behind the signature goes through", kind, more)
			}
		}
	}
}

// moved is the signature of one sheet on another.
func moved(t *testing.T, kind string, signed []byte) []byte {
	t.Helper()
	sheet, err := Read(signed)
	if err != nil {
		t.Fatal(err)
	}
	f := sample()
	f.SigningKey = sheet.Facts.SigningKey
	f.Fish[0].Ancestry.Wild = 1
	return must(withSignature(kind, must(Write(kind, f, nil, A4)), sheet.Signature))
}

// What is no key is said to be none.
func TestSignWithNoKey(t *testing.T) {
	keys(t)
	if _, err := KeyFingerprint(filepath.Join(t.TempDir(), "none")); err == nil || !strings.Contains(err.Error(), "no key file") {
		t.Error(err)
	}
	file := filepath.Join(t.TempDir(), "text")
	if err := os.WriteFile(file, []byte("no key\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := KeyFingerprint(file); err == nil {
		t.Error("a text passes for a key")
	}
}
