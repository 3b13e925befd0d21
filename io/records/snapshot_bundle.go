package records

import (
	"encoding/binary"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// A bundle is the file of one book's snapshot:
//
//	magic, digest of the program
//	number of entries, for each: digest of the text, offset, length, checksum
//	checksum of all before
//	the entries
//
// One file for all, as opening one for each of 400 takes longer than reading
// all they hold. Numbers are little-endian; checksums are CRC-32C (RFC 3720).
type bundle struct {
	bytes   []byte
	entries map[digest]bundleEntry
}

type bundleEntry struct{ from, size, sum uint32 }

const (
	bundleMagic  = "roebook snapshot\n"
	bundleSuffix = ".snapshot"
	bundleHead   = len(bundleMagic) + len(digest{}) + 4
	indexEntry   = len(digest{}) + 3*4
	maxBundle    = 512 << 20
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// loadBundle reads a bundle; nil where there is none or it is not whole.
func loadBundle(name string, program digest) *bundle {
	bytes, err := readWhole(name, maxBundle)
	if err != nil {
		return nil
	}
	return parseBundle(bytes, program)
}

func parseBundle(bytes []byte, program digest) *bundle {
	if len(bytes) < bundleHead+4 || string(bytes[:len(bundleMagic)]) != bundleMagic || string(bytes[len(bundleMagic):bundleHead-4]) != string(program[:]) {
		return nil
	}
	n := binary.LittleEndian.Uint32(bytes[bundleHead-4:])
	if uint64(n) > uint64(len(bytes)-bundleHead-4)/uint64(indexEntry) {
		return nil
	}
	end := bundleHead + int(n)*indexEntry
	if crc32.Checksum(bytes[:end], castagnoli) != binary.LittleEndian.Uint32(bytes[end:]) {
		return nil
	}
	b := &bundle{bytes, make(map[digest]bundleEntry, n)}
	for at := bundleHead; at < end; at += indexEntry {
		numbers := bytes[at+len(digest{}):]
		b.entries[digest(bytes[at:])] = bundleEntry{
			binary.LittleEndian.Uint32(numbers), binary.LittleEndian.Uint32(numbers[4:]), binary.LittleEndian.Uint32(numbers[8:])}
	}
	return b
}

func (b *bundle) size() int {
	if b == nil {
		return 0
	}
	return len(b.bytes)
}

// payload returns the entry for a text, nil where there is none that is whole.
func (b *bundle) payload(text digest) []byte {
	if b == nil {
		return nil
	}
	e, ok := b.entries[text]
	if !ok || uint64(e.from)+uint64(e.size) > uint64(len(b.bytes)) {
		return nil
	}
	payload := b.bytes[e.from : e.from+e.size]
	if crc32.Checksum(payload, castagnoli) != e.sum {
		return nil
	}
	return payload
}

// packBundle joins the payloads, leaving out those that are nil.
func packBundle(program digest, texts []digest, payloads [][]byte) []byte {
	n, total := 0, bundleHead+4
	for _, p := range payloads {
		if p != nil {
			n++
			total += indexEntry + len(p)
		}
	}
	if total > maxBundle {
		return nil
	}
	out := make([]byte, 0, total)
	out = append(append(out, bundleMagic...), program[:]...)
	out = binary.LittleEndian.AppendUint32(out, uint32(n))
	from := uint32(bundleHead + n*indexEntry + 4)
	for i, p := range payloads {
		if p != nil {
			out = append(out, texts[i][:]...)
			out = binary.LittleEndian.AppendUint32(out, from)
			out = binary.LittleEndian.AppendUint32(out, uint32(len(p)))
			out = binary.LittleEndian.AppendUint32(out, crc32.Checksum(p, castagnoli))
			from += uint32(len(p))
		}
	}
	out = binary.LittleEndian.AppendUint32(out, crc32.Checksum(out, castagnoli))
	for _, p := range payloads {
		out = append(out, p...)
	}
	return out
}

// saveBundle writes a bundle beside the old one and puts it in its place in one
// step, so that another program reads the one or the other. Failing that it
// leaves nothing behind.
func saveBundle(name string, program digest, texts []digest, payloads [][]byte) {
	out := packBundle(program, texts, payloads)
	if out == nil {
		return
	}
	temp, err := os.CreateTemp(filepath.Dir(name), "new-*"+bundleSuffix)
	if err != nil {
		return
	}
	_, err = temp.Write(out)
	if closed := temp.Close(); err != nil || closed != nil || os.Rename(temp.Name(), name) != nil {
		os.Remove(temp.Name())
	}
}

// Snapshots are thrown out when they have not been used for unusedDays, and the
// ones used longest ago when all take more than maxCache bytes.
const (
	oneDay     = 24 * time.Hour
	unusedDays = 60
	maxCache   = 200 << 20
)

// keepHouse notes that a snapshot is in use and, at most once a day, throws out
// old ones. Only files named as bundles are touched.
func keepHouse(dir, used string, now time.Time) {
	if now.IsZero() {
		return
	}
	if info, err := os.Stat(used); err == nil && now.Sub(info.ModTime()) > oneDay {
		_ = os.Chtimes(used, now, now)
	}
	stamp := filepath.Join(dir, "tidied")
	if info, err := os.Stat(stamp); err == nil && now.Sub(info.ModTime()) < oneDay {
		return
	}
	if os.WriteFile(stamp, nil, 0o600) != nil || os.Chtimes(stamp, now, now) != nil {
		return
	}
	prune(dir, now)
}

func prune(dir string, now time.Time) {
	files, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	var kept []os.FileInfo
	for _, f := range files {
		if info, err := f.Info(); err == nil && info.Mode().IsRegular() && strings.HasSuffix(f.Name(), bundleSuffix) {
			kept = append(kept, info)
		}
	}
	slices.SortFunc(kept, func(a, b os.FileInfo) int { return b.ModTime().Compare(a.ModTime()) })
	total := int64(0)
	for _, info := range kept {
		total += info.Size()
		if total > maxCache || now.Sub(info.ModTime()) > unusedDays*oneDay {
			os.Remove(filepath.Join(dir, info.Name()))
		}
	}
}

// readWhole reads a regular file of at most the given size.
func readWhole(name string, most int64) ([]byte, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > most {
		return nil, errTooLarge
	}
	bytes := make([]byte, info.Size())
	_, err = io.ReadFull(file, bytes)
	return bytes, err
}
