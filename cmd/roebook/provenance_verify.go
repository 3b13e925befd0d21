package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"roebook/io/certificate"
	"roebook/io/chart"
	"roebook/io/history"
	"roebook/io/records"
	"roebook/pedigree"
)

// pin writes into facts which commit of the book they are from, and whether the
// book's files have changed since.
func (l *loaded) pin(facts *certificate.Facts) error {
	dir, err := l.from.folder()
	if err != nil {
		return err
	}
	repo, err := l.from.repository(dir)
	if err != nil {
		l.env.note("the sheet will name no commit: %s", err)
		return nil
	}
	head, err := repo.Commit("HEAD")
	if err != nil {
		l.env.note("the sheet will name no commit: %s", err)
		return nil
	}
	version, err := l.from.filesAt(repo, head)
	if err != nil {
		return err
	}
	facts.Book.Commit, facts.Book.Uncommitted = head.Hash, l.changedSince(dir, version)
	if facts.Book.Uncommitted {
		l.env.note("the book has changes that are not committed, and the sheet says so; git commit first, to make a sheet that can be verified")
	}
	return nil
}

// filesAt reads the book's files as a commit has them.
func (s *source) filesAt(repo *history.Repository, c history.Commit) (history.Version, error) {
	reader, err := repo.Reader(s.cacheOptions())
	if err != nil {
		return history.Version{}, err
	}
	defer reader.Close()
	return reader.Version(c)
}

// changedSince reports whether the files of the book are others than a commit has.
func (l *loaded) changedSince(dir string, v history.Version) bool {
	files := filesOf(l.whole, l.problems)
	for _, sheet := range v.Sheets {
		files[sheet.Path()] = true
	}
	for file := range files {
		now, committed := records.Source(dir, file), v.Text(file)
		if !bytes.Equal(bytes.ReplaceAll(now, []byte("\r\n"), []byte("\n")), bytes.ReplaceAll(committed, []byte("\r\n"), []byte("\n"))) {
			return true
		}
	}
	return false
}

// verdict is what comes out when a sheet is held against the book.
type verdict struct {
	File        string                   `json:"file"`
	Kind        string                   `json:"kind"`
	Of          []string                 `json:"of"`
	On          string                   `json:"on"`
	Commit      string                   `json:"commit"`
	Uncommitted bool                     `json:"uncommitted"`
	Answer      string                   `json:"answer"` // one of the answers below
	Why         string                   `json:"why"`
	Signature   certificate.Seal         `json:"signature"`
	Signers     string                   `json:"signers"` // the allowed-signers file of --signers
	Fingerprint string                   `json:"fingerprint"`
	Facts       string                   `json:"facts"` // one of the states below
	Differences []certificate.Difference `json:"differences"`
	Page        string                   `json:"page"`
	Since       []certificate.Difference `json:"changed_since"`
	SinceOn     string                   `json:"changed_since_on"`
	Gone        []string                 `json:"no_longer_answered"` // ids of which the book now says nothing
	Touched     []string                 `json:"touched_by_errors"`  // those of them that errors in the book touch

	gitSigners bool // an allowed-signers file that git is told of was asked
}

// Answers of a verdict, and states of facts and page.
const (
	isTrue     = "true"
	isFalse    = "false"
	cannotTell = "cannot tell"
	unbelieved = "not believed" // it is the book's, but by no key of --signers

	agree      = "as in the book"
	differ     = "not as in the book"
	altered    = "altered"
	notChecked = "not checked"
	noPage     = "none: a JSON document is its facts alone"
)

func (ask *provenanceQuestion) checkVerify() error {
	switch {
	case len(ask.ids) > 0:
		return usageError("--verify takes one file, and nothing beside it; there is %s too", some(ask.ids, 3))
	case ask.file != "" || ask.key != "" || ask.each != 0 || ask.letter || ask.force:
		return usageError("--verify reads a sheet and writes none: leave -o, --sign, --each, --letter and --force away")
	}
	return nil
}

func verifySheet(from *source, ask *provenanceQuestion) error {
	if err := ask.checkVerify(); err != nil {
		return err
	}
	file, err := readSheetFile(from.env.path(ask.verify), ask.verify)
	if err != nil {
		return err
	}
	sheet, err := certificate.Read(file)
	if err != nil {
		return usageError("%s: %s", ask.verify, err)
	}
	v := verdict{File: ask.verify, Kind: sheet.Kind, Of: sheet.Facts.IDs(), On: sheet.Facts.On, Commit: sheet.Facts.Book.Commit,
		Uncommitted: sheet.Facts.Book.Uncommitted, Fingerprint: sheet.Facts.Fingerprint(), Facts: notChecked, Page: notChecked,
		Differences: []certificate.Difference{}, Since: []certificate.Difference{}, Gone: []string{}, Touched: []string{}, Signers: ask.signers}
	if err := from.seal(&v, sheet); err != nil {
		return err
	}
	if err := from.judge(&v, sheet); err != nil {
		return err
	}
	p := from.env.page()
	if from.json {
		err = p.asJSON(v)
	} else {
		v.write(p)
	}
	if err == nil {
		err = from.env.print(&p.Buffer)
	}
	if err == nil && v.Answer != isTrue {
		err = statusError(saysNo)
	}
	return err
}

func readSheetFile(path, name string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, usageError("%s cannot be read: %s", name, plainError(err))
	case info.IsDir():
		return nil, usageError("%s is a folder", name)
	case info.Size() > certificate.MostBytes:
		return nil, usageError("%s is larger than any sheet", name)
	}
	file, err := os.ReadFile(path)
	if err != nil {
		return nil, usageError("%s cannot be read: %s", name, plainError(err))
	}
	return file, nil
}

// seal checks the signature, with the allowed signers that were given or that git
// is told of.
func (s *source) seal(v *verdict, sheet *certificate.Sheet) error {
	signers := ""
	if v.Signers != "" {
		signers = s.env.path(v.Signers)
		if _, err := os.Stat(signers); err != nil {
			return usageError("--signers: %s cannot be read: %s", v.Signers, plainError(err))
		}
	} else if sheet.Signature != nil {
		signers = s.signersOfGit()
		v.gitSigners = signers != ""
	}
	v.Signature = certificate.CheckSeal(sheet, signers)
	return nil
}

// signersOfGit is the allowed-signers file that git is told of, "" for none.
func (s *source) signersOfGit() string {
	dir, err := s.folder()
	if err != nil {
		return ""
	}
	cmd := exec.Command("git", "config", "--type=path", "--get", "gpg.ssh.allowedSignersFile")
	cmd.Dir, cmd.Env = dir, s.env.variables()
	out, err := cmd.Output()
	path := strings.TrimSpace(string(out))
	if err != nil || path == "" {
		return ""
	}
	if !filepath.IsAbs(path) {
		path = filepath.Join(dir, path)
	}
	return path
}

func (s *source) hasBook() bool {
	_, err := s.folder()
	return err == nil
}

// judge holds facts and page against the book.
func (s *source) judge(v *verdict, sheet *certificate.Sheet) error {
	on, err := pedigree.ParseDate(sheet.Facts.On)
	if err != nil {
		return err
	}
	if s.book == "" && !s.hasBook() {
		v.Answer, v.Why = cannotTell, "there is no book here to hold it against: say which with --book"
		v.weigh(sheet)
		return nil
	}
	dir, err := s.folder()
	if err != nil {
		return err
	}
	now, err := s.load()
	if err != nil {
		return err
	}
	v.SinceOn = now.state.Date().String()
	v.Since, v.Gone = now.changes(sheet)
	for _, id := range v.Gone {
		if now.tainted[id] {
			v.Touched = append(v.Touched, id)
		}
	}
	then, err := s.bookOf(dir, sheet, on)
	var hindered hindrance
	switch {
	case errors.As(err, &hindered):
		v.Answer, v.Why = cannotTell, hindered.Error()
	case err != nil:
		return err
	default:
		v.against(then, sheet)
	}
	v.weigh(sheet)
	return nil
}

// hindrance is why the book of a sheet is not to be had.
type hindrance string

func (h hindrance) Error() string { return string(h) }

// bookOf reads the book as of the commit that the sheet names, on its day; where
// it names none, the book as it is now.
func (s *source) bookOf(dir string, sheet *certificate.Sheet, on pedigree.Date) (*loaded, error) {
	book := sheet.Facts.Book
	if book.Commit == "" || book.Uncommitted {
		whole, problems, err := s.readFolder(dir)
		if err != nil {
			return nil, err
		}
		return s.ofVersion(whole, problems, on)
	}
	repo, err := s.repository(dir)
	if err != nil {
		return nil, hindrance("the sheet names a commit, and " + err.Error())
	}
	commit, err := repo.Commit(book.Commit)
	if err != nil || commit.Hash != book.Commit {
		return nil, hindrance("the commit that the sheet names is not in this repository: it is of another book, or this clone does not have it (git fetch)")
	}
	version, err := s.filesAt(repo, commit)
	if err != nil {
		return nil, err
	}
	if !version.HasBook() {
		return nil, hindrance("there is no book in this folder at the commit that the sheet names")
	}
	whole, problems := version.Book()
	return s.ofVersion(whole, problems, on)
}

// renewed makes the facts of a sheet once more from a book, as of its day.
func (l *loaded) renewed(sheet *certificate.Facts) (facts certificate.Facts, drawing *chart.Drawing, gone []string) {
	for _, id := range sheet.IDs() {
		if !l.known(id) || l.tainted[id] {
			gone = append(gone, id)
		} else if _, why := l.sheetLine(id, sheet.Each); why != "" {
			gone = append(gone, id)
		}
	}
	if len(gone) > 0 || sheet.Each < 0 || sheet.Each > certificate.MostFish || sheet.Each > 0 && len(sheet.Fish) > 1 {
		return facts, nil, gone
	}
	facts, drawing = l.facts(sheet.IDs(), sheet.Each)
	facts.Book.Commit, facts.Book.Uncommitted = sheet.Book.Commit, sheet.Book.Uncommitted
	facts.Program, facts.SigningKey = sheet.Program, sheet.SigningKey
	return facts, drawing, nil
}

// against compares facts and page with the book of the sheet.
func (v *verdict) against(then *loaded, sheet *certificate.Sheet) {
	facts, drawing, gone := then.renewed(&sheet.Facts)
	if len(gone) > 0 || len(facts.Fish) == 0 {
		v.Facts, v.Why = differ, "the book has no answer, on that day, of "+some(gone, 5)
		if slices.ContainsFunc(gone, func(id string) bool { return then.tainted[id] }) {
			v.Why += " (errors in the book touch it)"
		}
		return
	}
	v.hold(&facts, drawing, sheet)
}

// hold compares a sheet with the facts and the drawing as they are in a book.
func (v *verdict) hold(facts *certificate.Facts, drawing *chart.Drawing, sheet *certificate.Sheet) {
	v.Differences = append(v.Differences, certificate.Compare(&sheet.Facts, facts)...)
	v.Facts = agree
	if len(v.Differences) > 0 {
		v.Facts = differ
		return
	}
	v.Page = agree
	if sheet.Kind == "json" {
		v.Page = noPage
		return
	}
	if !certificate.SamePage(sheet, &sheet.Facts, drawing) {
		v.Page = altered
		if sheet.Facts.Program != "roebook "+version {
			v.Page = notChecked
		}
	}
}

// weigh comes to the answer: what the book says to it, and then whether it is
// signed by one of those who are believed, where the question names them.
func (v *verdict) weigh(sheet *certificate.Sheet) {
	v.weighFacts(sheet)
	if v.Signers == "" || v.Signature.State == certificate.Good || v.Answer == isFalse {
		return
	}
	if v.Answer == isTrue {
		v.Answer = unbelieved
	}
	v.Why = join2(v.Why, v.whyUnbelieved())
}

func (v *verdict) weighFacts(sheet *certificate.Sheet) {
	book := sheet.Facts.Book
	switch {
	case v.Signature.State == certificate.Wrong:
		v.Answer, v.Why = isFalse, "the signature is wrong: "+v.Signature.Why
	case v.Signature.State == certificate.Stripped:
		v.Answer, v.Why = isFalse, "the sheet says that it is signed, and the signature is not there"
	case sheet.Kind == "json" && sheet.Fingerprint != v.Fingerprint:
		v.Answer, v.Why = isFalse, "the fingerprint is not of these facts"
	case v.Answer == cannotTell:
	case v.Facts == differ && (book.Commit == "" || book.Uncommitted):
		v.Answer = cannotTell
		v.Why = join2(v.Why, noCommit+", and as it is now it says otherwise")
	case v.Facts == differ:
		v.Answer, v.Why = isFalse, join2(v.Why, "the book did not say this at that commit")
	case v.Page == altered:
		v.Answer, v.Why = isFalse, "the facts inside the file are the book's, but the page that people see is not the one made from them"
	case v.Page == notChecked && v.Facts == agree && v.Signature.State == certificate.Good:
		v.Answer, v.Why = isTrue, "the page was made by "+sheet.Facts.Program+" and not compared, but the signature covers it"
	case v.Page == notChecked:
		v.Answer, v.Why = cannotTell, "the facts are the book's; the page was made by "+sheet.Facts.Program+", and only that program can make it again and compare"
	case book.Commit == "" || book.Uncommitted:
		v.Answer, v.Why = cannotTell, noCommit+"; as it is now it says the same"
	default:
		v.Answer = isTrue
	}
}

const noCommit = "the sheet names no state of the book that one could go back to (git commit the book before you make a sheet)"

func join2(a, b string) string { return strings.TrimPrefix(a+"; "+b, "; ") }

// changes lists what the book says otherwise now, as of the day of the question.
func (l *loaded) changes(sheet *certificate.Sheet) (list []certificate.Difference, gone []string) {
	facts, _, gone := l.renewed(&sheet.Facts)
	if len(gone) > 0 || len(facts.Fish) == 0 {
		return []certificate.Difference{}, append([]string{}, gone...)
	}
	list = certificate.Compare(&sheet.Facts, &facts)
	list = slices.DeleteFunc(list, func(d certificate.Difference) bool { return d.Field == "on" || d.Field == "lineage.drawing" })
	return append([]certificate.Difference{}, list...), []string{}
}
