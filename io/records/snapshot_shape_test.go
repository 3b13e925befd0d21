package records

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"unsafe"

	"github.com/google/go-cmp/cmp"
	"roebook/pedigree"
)

// shapeOf writes a type with all it holds.
func shapeOf(b *strings.Builder, t reflect.Type, seen map[reflect.Type]bool) {
	b.WriteString(t.String() + "=" + t.Kind().String())
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		b.WriteByte('(')
		shapeOf(b, t.Elem(), seen)
		b.WriteByte(')')
	case reflect.Struct:
		if seen[t] {
			return
		}
		seen[t] = true
		b.WriteByte('{')
		for f := range t.Fields() {
			b.WriteString(f.Name + ":")
			shapeOf(b, f.Type, seen)
			b.WriteByte(';')
		}
		b.WriteByte('}')
	}
}

// The version of the snapshot is raised when what it holds takes another shape:
// when this fails, code the new field, raise snapshotVersion and put both here.
func TestSnapshotShape(t *testing.T) {
	const version, shape = 3, "845429bbca405dfa"
	var b strings.Builder
	shapeOf(&b, reflect.TypeFor[content](), map[reflect.Type]bool{})
	sum := sha256.Sum256([]byte(b.String()))
	if got := hex.EncodeToString(sum[:8]); version != snapshotVersion || got != shape {
		t.Errorf("version %d has the shape %q, want %d with %q; all fields:\n%s", snapshotVersion, got, version, shape, b.String())
	}
}

// filler sets every field of a value to something, no two alike.
type filler struct{ n int }

func (f *filler) fill(v reflect.Value, depth int) {
	f.n++
	switch v.Kind() {
	case reflect.String:
		v.SetString(fmt.Sprint("text ", f.n))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int8, reflect.Int32, reflect.Int:
		v.SetInt(int64(1 + f.n%100))
	case reflect.Uint8:
		v.SetUint(uint64(1 + f.n%100))
	case reflect.Float64:
		v.SetFloat(1 / float64(f.n))
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		f.fill(v.Elem(), depth)
	case reflect.Slice:
		if depth < 12 {
			v.Set(reflect.MakeSlice(v.Type(), 2, 2))
			f.fill(v.Index(0), depth+4)
			f.fill(v.Index(1), depth+4)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			field := v.Field(i)
			f.fill(reflect.NewAt(field.Type(), unsafe.Pointer(field.UnsafeAddr())).Elem(), depth)
		}
		if p, ok := v.Addr().Interface().(*pedigree.Position); ok {
			p.File = "a.yaml"
		}
	default:
		panic("no way to fill " + v.Type().String())
	}
}

// Every field of what a file gave comes back: none is forgotten.
func TestSnapshotKeepsEveryField(t *testing.T) {
	want := &content{}
	new(filler).fill(reflect.ValueOf(want).Elem(), 0)
	written := want.encode("a.yaml")
	got, ok := decodeContent("a.yaml", written)
	if !ok {
		t.Fatal("what was written cannot be read")
	}
	all := cmp.Exporter(func(reflect.Type) bool { return true })
	if diff := cmp.Diff(want, got, all); diff != "" {
		t.Errorf("(-written +read)\n%s", diff)
	}
	moved, ok := decodeContent("b.yaml", written)
	if !ok || moved.stock[0].Where.File != "b.yaml" || moved.problems[0].Places[0].File != "b.yaml" {
		t.Error("places do not follow the file's name")
	}
}

// Bytes that break off anywhere are not read.
func TestSnapshotBrokenOff(t *testing.T) {
	want := &content{}
	new(filler).fill(reflect.ValueOf(want).Elem(), 0)
	whole := want.encode("a.yaml")
	for n := range whole {
		if _, ok := decodeContent("a.yaml", whole[:n]); ok {
			t.Fatalf("the first %d of %d bytes are read as a whole", n, len(whole))
		}
	}
	if _, ok := decodeContent("a.yaml", append(whole, 0)); ok {
		t.Error("bytes at the end are passed over")
	}
}

// FuzzSnapshot holds the decoder to any bytes: it does not panic, and what it
// reads it also writes, to be read as the same.
func FuzzSnapshot(f *testing.F) {
	for _, c := range problemCases(f) {
		for _, file := range c.files {
			f.Add(encodedFile(file))
		}
	}
	f.Add(packBundle(digest{}, []digest{{1}, {2}}, [][]byte{{1, 2, 3}, {4}}))
	f.Fuzz(func(t *testing.T, data []byte) {
		if b := parseBundle(data, digest{}); b != nil {
			for text := range b.entries {
				b.payload(text)
			}
		}
		v, ok := decodeContent("a.yaml", data)
		if !ok {
			return
		}
		written := v.encode("a.yaml")
		again, ok := decodeContent("a.yaml", written)
		if !ok || !bytes.Equal(written, again.encode("a.yaml")) {
			t.Errorf("what was read is not what is written: %+v", v)
		}
	})
}

func encodedFile(file File) []byte {
	src := newSource(file.Path, file.Text)
	p := &fileParse{src: src}
	var parts []decoded
	for _, piece := range split(src, scanLayout(src), pieceLines) {
		parts = append(parts, p.decodePiece(piece))
	}
	v := &content{decoded: joined(parts), flawed: len(src.flaws) > 0}
	return v.encode(file.Path)
}
