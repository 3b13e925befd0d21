package sheet

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Write makes the workbook: a first worksheet that lists the litters, one for
// each of them in the order given, and, hidden, the lists of the drop-downs.
// Printed it has a page for each litter and mostly one for the list. The same
// litters and options give the same bytes. It fails where there is no litter,
// the paper is neither A4 nor letter, or w fails. A litter takes a few
// milliseconds and about 6 kB.
func Write(w io.Writer, litters []Litter, o Options) error {
	switch {
	case len(litters) == 0:
		return errors.New("there is no litter to write a sheet for")
	case o.Paper != "" && o.Paper != "A4" && o.Paper != "letter":
		return fmt.Errorf("the paper %q is neither A4 nor letter", o.Paper)
	}
	file := excelize.NewFile()
	defer file.Close()
	file.SetZipWriter(func(to io.Writer) excelize.ZipWriter { return newPacker(to) })
	if err := fillAll(file, litters, &o); err != nil {
		return fmt.Errorf("litter sheets: %w", err)
	}
	return file.Write(w)
}

// fillAll writes all worksheets and properties.
func fillAll(file *excelize.File, litters []Litter, o *Options) error {
	if err := basics(file, o); err != nil {
		return err
	}
	styles, err := newLook(file)
	if err != nil {
		return err
	}
	word := common(litters)
	first := "All " + word
	given := newNames(first, "Lists")
	if err := file.SetSheetName("Sheet1", first); err != nil {
		return err
	}
	words := newLists("Lists")
	var done []placed
	for i := range litters {
		name := given.give(litters[i].ID)
		if _, err := file.NewSheet(name); err != nil {
			return fmt.Errorf("worksheet %q: %w", name, err)
		}
		sheet := clipboard{page: newPage(file, name, styles, litterWidths, ink), litter: &litters[i], options: o, lists: words, first: first}
		where, err := sheet.write()
		if err != nil {
			return err
		}
		done = append(done, where)
	}
	all := overview{page: newPage(file, first, styles, overviewWidths(litters), ink), word: word, lists: words.name}
	if err := all.write(done, o); err != nil {
		return err
	}
	if _, err := file.NewSheet(words.name); err != nil {
		return err
	}
	if err := words.write(file, styles, o); err != nil {
		return err
	}
	return file.SetSheetVisible(words.name, false) // not printed; a keeper can show it to add words
}

// common is the word for many litters that all of them use, else "spawns".
func common(litters []Litter) string {
	word := litters[0].words().many
	for i := range litters {
		if litters[i].words().many != word {
			return "spawns"
		}
	}
	return word
}

// basics sets the common font, the properties, and that programs recalculate
// when they open the workbook.
func basics(file *excelize.File, o *Options) error {
	if err := file.SetDefaultFont("Arial"); err != nil {
		return err
	}
	*file.Styles.Fonts.Font[0].Sz.Val = 10 // the size column widths are counted in
	yes, mode := true, "auto"
	if err := file.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &yes, CalcMode: &mode}); err != nil {
		return err
	}
	day := "2000-01-01"
	if o.On.Known() {
		day = o.On.Time().Format("2006-01-02")
	}
	day += "T00:00:00Z"
	title := join(", ", oneLine(o.BookName, 120), "litter sheets")
	keeper := oneLine(o.Keeper, 120)
	if err := file.SetDocProps(&excelize.DocProperties{Title: title, Creator: keeper, LastModifiedBy: keeper, Created: day, Modified: day,
		Subject: "What to count, and when", Identifier: oneLine(o.Fingerprint, 120)}); err != nil {
		return err
	}
	return file.SetAppProps(&excelize.AppProperties{Application: "roebook", AppVersion: "1.0000"})
}

// setFooter writes the foot of the printed page; "&" begins a code there, so a
// text's own is doubled.
func setFooter(p *page, left, right string) {
	left = strings.ReplaceAll(left, "&", "&&")
	if left != "" && left[0] >= '0' && left[0] <= '9' {
		left = " " + left // else it would be read as part of the size
	}
	foot := "&L&8" + left
	if right != "" {
		foot += "&R&8" + right
	}
	p.try(p.file.SetHeaderFooter(p.name, &excelize.HeaderFooterOptions{OddFooter: foot}))
}
