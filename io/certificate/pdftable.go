package certificate

import "roebook/io/lettering"

// rowColumns are those of the table of several fish; x is where each begins, as
// a part of the width, or ends where it is right.
var rowColumns = []struct {
	head  string
	x     float64
	right bool
	cell  func(*fishRow) string
}{
	{"id", 0.05, false, func(r *fishRow) string { return r.ID }},
	{"", 0.19, false, func(r *fishRow) string { return r.Who }},
	{"born", 0.45, false, func(r *fishRow) string { return r.Born }},
	{"generation", 0.58, false, func(r *fishRow) string { return r.Generation }},
	{"inbreeding", 0.77, true, func(r *fishRow) string { return r.Inbreeding }},
	{"caught", 0.85, true, func(r *fishRow) string { return r.Wild }},
	{"bought", 0.925, true, func(r *fishRow) string { return r.Bought }},
	{"unknown", 1, true, func(r *fishRow) string { return r.Unknown }},
}

// tickets are the numbered fish of one lot, of which all that stands above holds,
// with room to write where each goes, in two columns.
func (s *pdfSheet) tickets(y, foot float64) float64 {
	y += 20
	s.write(s.left, y, "Fish by fish", caption, 0)
	y += 5
	rows := (len(s.Rows) + 1) / 2
	step := max(11, min(22, (foot-y-8)/float64(rows)))
	wide := (s.right - s.left - 18) / 2
	for i := range s.Rows {
		row := &s.Rows[i]
		x, base := s.left, y+step*float64(i%rows)+step-4
		if i >= rows {
			x += wide + 18
		}
		s.write(x, base, numeral(row.Number), hand{size: 8.8, bold: true, colour: deep}, 0)
		at := s.write(x+17, base, row.ID, hand{size: 8.2, bold: true, colour: ink}, 62)
		at = s.write(at+6, base, row.Generation+" · "+row.Inbreeding+" inbred", hand{size: 7.4, colour: faint}, x+wide*0.62-at)
		s.write(at+7, base, s.RowsWhat, lesser, 0)
		s.rule(x, base+3.5, x+wide)
	}
	return y + step*float64(rows)
}

// table is the sheet of several records: a row each.
func (s *pdfSheet) table(y, foot float64) float64 {
	wide := s.right - s.left
	y += 20
	s.write(s.left, y, "Fish by fish", caption, 0)
	y += 14
	s.write(s.left, y, "no.", lesser, 0)
	for _, c := range rowColumns {
		h, head := lesser, c.head
		h.right = c.right
		if head == "" {
			head = s.RowsWhat
		}
		s.write(s.left+wide*c.x, y, head, h, 0)
	}
	y += 4
	s.rule(s.left, y, s.right)
	step := max(9.5, min(19, (foot-y-26)/float64(len(s.Rows))))
	for i := range s.Rows {
		row := &s.Rows[i]
		base := y + step*0.5 + 3
		s.write(s.left, base, numeral(row.Number), hand{size: 8.4, bold: true, colour: deep}, 0)
		for k, c := range rowColumns {
			h := hand{size: 8.2, colour: ink, right: c.right, bold: k == 0}
			room := 0.0
			if !c.right {
				room = (rowColumns[k+1].x - c.x) * wide
				if rowColumns[k+1].right {
					room -= lettering.Width(rowColumns[k+1].cell(row), 8.2, false)
				}
				room -= 6
			}
			s.write(s.left+wide*c.x, base, c.cell(row), h, room)
		}
		y += step
		s.rule(s.left, y, s.right)
	}
	return s.paragraph(s.left, y+2, wide, s.RowsNote, lesser, 2)
}
