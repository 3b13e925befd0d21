package certificate

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"regexp"
	"testing"
)

// repacked packs the streams of a PDF anew, not at all, and mends the numbers
// that follow from it, as another build of the program may.
func repacked(t *testing.T, file []byte) []byte {
	t.Helper()
	var out bytes.Buffer
	table := crossTable.FindSubmatchIndex(file)
	at := 0
	for {
		m := streamHead.FindSubmatchIndex(file[at:table[0]])
		if m == nil {
			break
		}
		var size int
		fmt.Sscan(string(file[at+m[2]:at+m[3]]), &size)
		begin := at + m[1]
		content, ok := inflated(file[begin : begin+size])
		if !ok {
			t.Fatal("a stream that is not packed as it should be")
		}
		var packed bytes.Buffer
		w := must(zlib.NewWriterLevel(&packed, zlib.NoCompression))
		must(w.Write(content))
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		out.Write(length.ReplaceAll(file[at:begin], fmt.Appendf(nil, "/Length %d", packed.Len())))
		out.Write(packed.Bytes())
		at = begin + size
	}
	out.Write(file[at:table[0]])
	start := out.Len()
	lines := regexp.MustCompile(`\d{10} 00000 n`).FindAll(file[table[4]:table[5]], -1)
	fmt.Fprintf(&out, "xref\n0 %d\n0000000000 65535 f \n", len(lines)+1)
	for i := range lines {
		found := regexp.MustCompile(fmt.Sprintf(`(?m)^%d 0 obj$`, i+1)).FindIndex(out.Bytes()[:start])
		fmt.Fprintf(&out, "%010d 00000 n \n", found[0])
	}
	out.Write(file[table[5]:table[6]])
	fmt.Fprintf(&out, "%d\n%%%%EOF\n", start)
	return out.Bytes()
}

// A page packed by another build is the same page; one with another word, or an
// object pointed to elsewhere, is not.
func TestSamePageHoweverItIsPacked(t *testing.T) {
	file := must(Write("pdf", sample(), nil, A4))
	other := repacked(t, file)
	if bytes.Equal(file, other) || !samePDF(file, other) {
		t.Error("a page that was packed otherwise is taken for another")
	}
	f := sample()
	f.Fish[0].BredBy = "Nobody"
	if samePDF(file, repacked(t, must(Write("pdf", f, nil, A4)))) {
		t.Error("a page with another name is taken for the same")
	}
	table := crossTable.FindSubmatchIndex(other)
	for i, change := range []func([]byte){
		func(b []byte) { copy(b[table[4]:], b[table[4]+20:table[4]+40]) },
		func(b []byte) { b[table[6]]++ },
		func(b []byte) { b[len(b)-20] ^= 1 },
	} {
		changed := bytes.Clone(other)
		change(changed)
		if samePDF(file, changed) {
			t.Errorf("change %d goes through", i)
		}
	}
	if samePDF(file, append(bytes.Clone(other), other...)) {
		t.Error("two files in one are taken for the page")
	}
}
