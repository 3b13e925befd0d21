package lettering

// forms are the presentation forms of an Arabic letter (Unicode, blocks Arabic
// Presentation Forms-A and -B): alone, at the end, at the beginning and in the
// middle of a word; the last two are 0 for a letter that does not join the next.
type forms [4]rune

// letters are those of U+0621 to U+064A in the order of Presentation Forms-B,
// with how many forms each has there, and the further ones of Persian and Urdu.
var letters = arabicLetters()

func arabicLetters() map[rune]forms {
	table := make(map[rune]forms)
	next := rune(0xfe80)
	for _, letter := range []struct {
		from rune
		n    []int
	}{
		{0x621, []int{1, 2, 2, 2, 2, 4, 2, 4, 2, 4, 4, 4, 4, 4, 2, 2, 2, 2, 4, 4, 4, 4, 4, 4, 4, 4}},
		{0x641, []int{4, 4, 4, 4, 4, 4, 4, 2, 2, 4}},
	} {
		for i, n := range letter.n {
			var f forms
			for k := range n {
				f[k] = next
				next++
			}
			table[letter.from+rune(i)] = f
		}
	}
	for base, first := range map[rune]rune{0x67e: 0xfb56, 0x679: 0xfb66, 0x686: 0xfb7a, 0x6a9: 0xfb8e, 0x6af: 0xfb92, 0x6be: 0xfbaa, 0x6cc: 0xfbfc} {
		table[base] = forms{first, first + 1, first + 2, first + 3}
	}
	for base, first := range map[rune]rune{0x688: 0xfb88, 0x691: 0xfb8c, 0x698: 0xfb8a, 0x6d2: 0xfbae} {
		table[base] = forms{first, first + 1}
	}
	return table
}

// lamAlef are the ligatures of lam with the alefs, alone; the next one ends a word.
var lamAlef = map[rune]rune{0x622: 0xfef5, 0x623: 0xfef7, 0x625: 0xfef9, 0x627: 0xfefb}

const (
	lam    = 0x644
	tatwil = 0x640
)

// join replaces Arabic letters by the forms that they take beside each other.
func join(text string) string {
	in := []rune(text)
	var out []rune
	joined := false // the letter before joins this one
	for i := 0; i < len(in); i++ {
		r := in[i]
		f, letter := letters[r]
		switch {
		case r >= 0x64b && r <= 0x65f || r == 0x670: // marks change nothing
			out = append(out, r)
			continue
		case r == tatwil:
			out, joined = append(out, r), true
			continue
		case !letter:
			out, joined = append(out, r), false
			continue
		}
		if r == lam && i+1 < len(in) && lamAlef[in[i+1]] != 0 {
			both := lamAlef[in[i+1]]
			if joined {
				both++
			}
			out, joined = append(out, both), false
			i++
			continue
		}
		onward := f[2] != 0 && joins(in[i+1:])
		switch {
		case joined && onward:
			out = append(out, f[3])
		case onward:
			out = append(out, f[2])
		case joined && f[1] != 0:
			out = append(out, f[1])
		default:
			out = append(out, f[0])
		}
		joined = onward
	}
	return string(out)
}

// joins reports whether the next letter joins the one before it.
func joins(rest []rune) bool {
	for _, r := range rest {
		if r >= 0x64b && r <= 0x65f || r == 0x670 {
			continue
		}
		return r == tatwil || letters[r][1] != 0
	}
	return false
}
