package records

import (
	"encoding/binary"
	"math"
	"math/bits"

	"roebook/pedigree"
)

// coder writes values to bytes, or reads them back: one function for each type
// does both, so that the two cannot differ. Whole numbers are varints; texts
// are numbers of a table that holds each text once.
//
// Reading never panics and never takes much more memory than there are bytes;
// after the first thing that cannot be, bad is set and all that follows is
// empty.
type coder struct {
	writing bool
	bad     bool
	file    string // the path of the file that the records stand in
	bytes   []byte // written so far, or still to be read
	texts   []string
	number  map[string]uint64 // of the texts, while writing
	depth   int

	// While writing the lengths of all lists of keys and texts; while reading
	// the room for them, made at once.
	keyRoom  int
	textRoom int
	keys     []pedigree.Key
	lists    []string
	taints   []string // of the reference before
}

// maxNested is how deep a value may be nested. The parser is kept from more
// than maxDepth levels; what is deeper is not kept.
const maxNested = 4 * maxDepth

func newWriter(file string) *coder {
	return &coder{writing: true, file: file, number: map[string]uint64{}}
}

// finish returns the bytes written, with the table of texts before them.
func (c *coder) finish() []byte {
	size := len(c.bytes)
	for _, text := range c.texts {
		size += len(text) + 2
	}
	out := make([]byte, 0, size+32)
	for _, n := range []int{c.keyRoom, c.textRoom, len(c.texts)} {
		out = binary.AppendUvarint(out, uint64(n))
	}
	for _, text := range c.texts {
		out = binary.AppendUvarint(out, uint64(len(text)))
	}
	for _, text := range c.texts {
		out = append(out, text...)
	}
	return append(out, c.bytes...)
}

// newReader reads the table of texts; they share one piece of memory.
func newReader(file string, from []byte) *coder {
	c := &coder{file: file, bytes: from}
	keys, lists := c.unsigned(), c.unsigned()
	lengths := make([]uint64, c.size(1))
	total := uint64(0)
	for i := range lengths {
		lengths[i] = c.unsigned()
		total += min(lengths[i], uint64(len(from))+1)
	}
	if c.bad || total > uint64(len(c.bytes)) {
		c.fail()
		return c
	}
	all := string(c.bytes[:total])
	c.bytes = c.bytes[total:]
	c.texts = make([]string, len(lengths))
	for i, n := range lengths {
		c.texts[i], all = all[:n], all[n:]
	}
	most := uint64(len(c.bytes))
	c.keys = make([]pedigree.Key, min(keys, most/4))
	c.lists = make([]string, min(lists, most))
	return c
}

func (c *coder) fail() { c.bad, c.bytes = true, nil }

// unsigned reads a number.
func (c *coder) unsigned() uint64 {
	if len(c.bytes) > 0 && c.bytes[0] < 0x80 {
		n := c.bytes[0]
		c.bytes = c.bytes[1:]
		return uint64(n)
	}
	n, size := binary.Uvarint(c.bytes)
	if size <= 0 {
		c.fail()
		return 0
	}
	c.bytes = c.bytes[size:]
	return n
}

// size reads a length, held to what the bytes that are left can hold when each
// takes at least the given number of them.
func (c *coder) size(each int) int {
	n := c.unsigned()
	if n > uint64(len(c.bytes)/each) {
		c.fail()
		return 0
	}
	return int(n)
}

func (c *coder) put(n uint64) { c.bytes = binary.AppendUvarint(c.bytes, n) }

// whole codes a whole number; small ones of either sign take one byte.
func whole[T ~int | ~int8 | ~int32 | ~uint8](c *coder, v *T) {
	if c.writing {
		n := int64(*v)
		c.put(uint64(n<<1) ^ uint64(n>>63))
		return
	}
	u := c.unsigned()
	n := int64(u>>1) ^ -int64(u&1)
	if *v = T(n); int64(*v) != n {
		*v = 0
		c.fail()
	}
}

func (c *coder) yesNo(v *bool) {
	n := 0
	if *v {
		n = 1
	}
	whole(c, &n)
	*v = n == 1
	if n>>1 != 0 {
		c.fail()
	}
}

// float codes a number with all its bits; those of few digits are short.
func (c *coder) float(v *float64) {
	if c.writing {
		c.put(bits.ReverseBytes64(math.Float64bits(*v)))
		return
	}
	*v = math.Float64frombits(bits.ReverseBytes64(c.unsigned()))
}

func (c *coder) text(v *string) {
	if !c.writing {
		if n := c.unsigned(); n < uint64(len(c.texts)) {
			*v = c.texts[n]
		} else {
			c.fail()
		}
		return
	}
	n, ok := c.number[*v]
	if !ok {
		n = uint64(len(c.texts))
		c.texts = append(c.texts, *v)
		c.number[*v] = n
	}
	c.put(n)
}

// length codes the length of a list, and whether it is nil.
func length[T any](c *coder, list []T, each int) (n int, isNil bool) {
	if c.writing {
		n = len(list)
		isNil = list == nil
		if isNil {
			c.put(0)
		} else {
			c.put(uint64(n) + 1)
		}
		return n, isNil
	}
	u := c.unsigned()
	if u == 0 {
		return 0, true
	}
	if u-1 > uint64(len(c.bytes)/each) {
		c.fail()
		return 0, true
	}
	return int(u - 1), false
}

// list codes a list whose items take at least each bytes.
func list[T any](c *coder, v *[]T, each int, item func(*coder, *T)) {
	n, isNil := length(c, *v, each)
	if isNil {
		return
	}
	if !c.writing {
		*v = make([]T, n)
	}
	for i := 0; i < n && !c.bad; i++ {
		item(c, &(*v)[i])
	}
}

// pointers codes a list of values held by pointer; when read they lie in one
// piece of memory.
func pointers[T any](c *coder, v *[]*T, each int, item func(*coder, *T)) {
	n, isNil := length(c, *v, each)
	if isNil {
		return
	}
	if !c.writing {
		values := make([]T, n)
		*v = make([]*T, n)
		for i := range values {
			(*v)[i] = &values[i]
		}
	}
	for i := 0; i < n && !c.bad; i++ {
		item(c, (*v)[i])
	}
}

// optional codes a value that may be nil.
func optional[T any](c *coder, v **T, item func(*coder, *T)) {
	has := *v != nil
	if c.yesNo(&has); !has || c.bad {
		return
	}
	if !c.writing {
		*v = new(T)
	}
	item(c, *v)
}

// textList codes a list of texts.
func textList(c *coder, v *[]string) {
	n, isNil := length(c, *v, 1)
	if isNil {
		return
	}
	c.textRoom += n
	if !c.writing {
		*v = takeRoom(&c.lists, n)
	}
	for i := 0; i < n; i++ {
		c.text(&(*v)[i])
	}
}

// takeRoom returns n items of the room, or of new memory where it is used up.
func takeRoom[T any](room *[]T, n int) []T {
	if n > len(*room) {
		return make([]T, n)
	}
	out := (*room)[:n:n]
	*room = (*room)[n:]
	return out
}
