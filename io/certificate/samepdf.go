package certificate

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
	"strconv"
)

// samePDF reports whether two files of [Write] are one page: byte for byte but
// for how their streams are packed, which another build of the program may do
// otherwise. Where the objects of a file stand must be where it says.
func samePDF(a, b []byte) bool {
	if bytes.Equal(a, b) {
		return true
	}
	x, okX := unpacked(a)
	y, okY := unpacked(b)
	return okX && okY && bytes.Equal(x, y)
}

var (
	streamHead = regexp.MustCompile(`/Length (\d+)[^\n]*\n(?:[^\n]*\n){0,3}?stream\n`)
	crossTable = regexp.MustCompile(`(?s)xref\n0 (\d+)\n0000000000 65535 f \n((?:\d{10} 00000 n \n)+)trailer\n.*\nstartxref\n(\d+)\n%%EOF\n$`)
	length     = regexp.MustCompile(`/Length \d+`)
)

// unpacked is a PDF with its streams inflated, and without the numbers that
// follow from how long they were; ok is false where those are not right.
func unpacked(file []byte) (out []byte, ok bool) {
	table := crossTable.FindSubmatchIndex(file)
	if table == nil || !tableHolds(file, table) {
		return nil, false
	}
	at := 0
	for {
		m := streamHead.FindSubmatchIndex(file[at:table[0]])
		if m == nil {
			break
		}
		size, err := strconv.Atoi(string(file[at+m[2] : at+m[3]]))
		begin := at + m[1]
		if err != nil || size > table[0]-begin || !bytes.HasPrefix(file[begin+size:], []byte("\nendstream\n")) {
			return nil, false
		}
		out = append(out, length.ReplaceAll(file[at:begin], []byte("/Length"))...)
		content, ok := inflated(file[begin : begin+size])
		if !ok {
			return nil, false
		}
		out = append(out, content...)
		at = begin + size
	}
	out = append(out, file[at:table[0]]...)
	trailer := file[table[5]:table[6]] // between the table and the number at the end
	return append(append(out, file[table[2]:table[3]]...), trailer...), true
}

// tableHolds reports whether every object stands where the cross-reference says,
// and the table itself where the end of the file says.
func tableHolds(file []byte, table []int) bool {
	if start, err := strconv.Atoi(string(file[table[6]:table[7]])); err != nil || start != table[0] {
		return false
	}
	objects := bytes.Split(bytes.TrimSuffix(file[table[4]:table[5]], []byte("\n")), []byte("\n"))
	if string(file[table[2]:table[3]]) != strconv.Itoa(len(objects)+1) {
		return false
	}
	for i, line := range objects {
		at, err := strconv.Atoi(string(line[:10]))
		if err != nil || at >= len(file) || !bytes.HasPrefix(file[at:], []byte(strconv.Itoa(i+1)+" 0 obj\n")) {
			return false
		}
	}
	return true
}

// inflated unpacks a stream that is packed, all of it.
func inflated(stream []byte) (content []byte, ok bool) {
	rest := bytes.NewReader(stream)
	r, err := zlib.NewReader(rest)
	if err != nil {
		return stream, true // not packed
	}
	content, err = io.ReadAll(io.LimitReader(r, MostBytes))
	return content, err == nil && rest.Len() == 0
}
