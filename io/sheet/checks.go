package sheet

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

// far is the most a count may be where nothing before it says less.
const far = 9999999

// firstDay and lastDay bound the dates that may be typed: 1990-01-01 and
// 2099-12-31 in the 1900 date system.
const (
	firstDay = 32874
	lastDay  = 73050
)

// check is a rule for what may be typed into cells.
type check struct {
	cells        string
	kind, op     string // whole, date, list; between
	low, high    string
	style        excelize.DataValidationErrorStyle
	title, error string
	prompt       string
}

func (p *page) check(c check) {
	dv := excelize.NewDataValidation(true)
	escape := strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")
	dv.Sqref, dv.Type, dv.Operator = c.cells, c.kind, c.op
	dv.Formula1, dv.Formula2 = escape.Replace(c.low), escape.Replace(c.high)
	if c.error != "" {
		dv.SetError(c.style, c.title, c.error)
	}
	if c.prompt != "" {
		dv.SetInput(c.title, c.prompt)
	}
	p.try(p.file.AddDataValidation(p.name, dv))
}

const (
	stop = excelize.DataValidationErrorStyleStop
	warn = excelize.DataValidationErrorStyleWarning
)

// checks puts the rules on the cells of a litter worksheet.
func (c *clipboard) checks() {
	for _, count := range c.litter.counts() {
		c.checkCount(count)
	}
	first, last := c.placed.row[c.litter.counts()[0].key], c.placed.row["females"]
	move := c.placed.row["moved"]
	c.check(check{cells: span(colDay, first, last), kind: "whole", op: "between", low: "0", high: "3650", style: stop,
		title: "Days after spawning", error: "Give the number of days after spawning as a whole number, or leave it empty."})
	c.check(check{cells: at(colDay, rowDate), kind: "date", op: "between", low: fmt.Sprint(firstDay), high: fmt.Sprint(lastDay), style: stop,
		title: "The day", error: "Give a day of the calendar, like 2026-03-05."})
	came := fixed(colDay, rowDate)
	c.check(check{cells: span(colDone, first, last) + " " + span(colDone, move, move+moves-1), kind: "date", op: "between",
		low: fmt.Sprintf("IF(ISNUMBER(%s),%s,%d)", came, came, firstDay), high: fmt.Sprint(lastDay), style: stop,
		title: "Done on", error: "Give a day of the calendar, like 2026-03-05, and none before the day at the top of this sheet."})
	c.check(check{cells: span(colNumber, move, move+moves-1), kind: "whole", op: "between", low: "0", high: fmt.Sprint(far), style: stop,
		title: "Number", error: "Give a whole number of fish, 0 or more."})
	c.check(check{cells: span(colDue, move, move+moves-1), kind: "list", low: c.lists.sexes, style: stop,
		title: "Sex", error: "Choose one of the list: males, females, both or unsexed."})
	if tanks := c.lists.tanksOf(c.litter.Line, c.litter.Tanks); tanks != "" {
		c.check(check{cells: span(colBy, move, move+moves-1), kind: "list", low: tanks, style: warn,
			title: "Tank", error: "The book has no tank of this name for the line. Keep it all the same?"})
	}
	c.check(check{cells: span(colRemark, first, last) + " " + span(colRemark, move, move+moves-1), kind: "list", low: c.lists.remarks,
		title: "Remark"})
}

// checkCount holds one number below those before it, and marks it where it is
// above them all the same (pasted, or one before it changed later).
func (c *clipboard) checkCount(count count) {
	row := c.placed.row
	first, own := row[c.litter.counts()[0].key], row[count.key]
	style, limits, than := stop, "", ""
	other := ""
	switch count.kind {
	case stage, weekly:
		if own > first {
			limits, than = span(colNumber, first, own-1), "any of the counts before it in this "+c.litter.words().one
		}
		if count.kind == weekly {
			style = warn
		}
	case partOf:
		limits, than = span(colNumber, first, row["swimming"]-1), "there were to begin with"
	case outOf:
		limits, than = span(colNumber, first, first), "there were to begin with"
	case kept:
		limits, than = span(colNumber, first, row["swimming"]), "there were young swimming"
	case sexed:
		limits, than = span(colNumber, first, row["swimming"]), "there were young swimming, males and females together"
		other = at(colNumber, row["males"])
		if count.key == "males" {
			other = at(colNumber, row["females"])
		}
	}
	high, wrong := fmt.Sprint(far), fmt.Sprintf("%s<0", at(colNumber, own))
	if limits != "" {
		high = fmt.Sprintf("IF(COUNT(%s)=0,%d,MIN(%s))", limits, far, limits)
		if other != "" {
			high += "-N(" + other + ")"
		}
		wrong = fmt.Sprintf("OR(%s,%s>%s)", wrong, at(colNumber, own), high)
	}
	message := "Give a whole number, 0 or more."
	if than != "" {
		message = "Give a whole number, 0 or more, and not more than " + than + "."
	}
	if style == warn {
		message += " Keep it if this is a better count."
	}
	c.check(check{cells: at(colNumber, own), kind: "whole", op: "between", low: "0", high: high, style: style,
		title: clip(strings.SplitN(count.what, ":", 2)[0], 30), error: message})
	flag := c.look.tooMuch
	c.try(c.file.SetConditionalFormat(c.name, at(colNumber, own), []excelize.ConditionalFormatOptions{{Type: "formula",
		Criteria: fmt.Sprintf("AND(ISNUMBER(%s),%s)", at(colNumber, own), wrong), Format: &flag}}))
}

func span(col, first, last int) string {
	if first == last {
		return at(col, first)
	}
	return at(col, first) + ":" + at(col, last)
}
