package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// wholeNumber is a flag that takes a whole number within bounds.
type wholeNumber struct {
	value       *int
	least, most int
}

func (w wholeNumber) String() string {
	if w.value == nil || *w.value < w.least {
		return "" // not given
	}
	return strconv.Itoa(*w.value)
}

func (w wholeNumber) Type() string { return "number" }

// Set reads the number. Its error says what will do.
func (w wholeNumber) Set(text string) error {
	n, err := strconv.Atoi(text)
	if err != nil || n < w.least || n > w.most {
		return fmt.Errorf("%q is not a whole number from %d to %s", text, w.least, grouped(w.most))
	}
	*w.value = n
	return nil
}

// grouped writes a whole number with commas between thousands.
func grouped(n int) string {
	text := strconv.Itoa(n)
	for at := len(text) - 3; at > 0; at -= 3 {
		text = text[:at] + "," + text[at:]
	}
	return text
}

// flagWords puts an error of the command line's reader in plain words.
func flagWords(cmd *cobra.Command, err error) string {
	var value *pflag.InvalidValueError
	var missing *pflag.ValueRequiredError
	var unknown *pflag.NotExistError
	switch {
	case errors.As(err, &value) && value.GetFlag().Value.Type() == "bool":
		return fmt.Sprintf("--%s takes no value", value.GetFlag().Name)
	case errors.As(err, &value):
		return fmt.Sprintf("--%s: %s", value.GetFlag().Name, value.Unwrap())
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() != "":
		return fmt.Sprintf("there is no option -%.1s", unknown.GetSpecifiedName())
	case errors.As(err, &unknown):
		var names []string
		cmd.Flags().VisitAll(func(flag *pflag.Flag) { names = append(names, "--"+flag.Name) })
		return fmt.Sprintf("there is no option --%s%s", unknown.GetSpecifiedName(), didYouMean("--"+unknown.GetSpecifiedName(), names))
	case errors.As(err, &missing):
		return fmt.Sprintf("--%s needs a value", missing.GetFlag().Name)
	}
	return err.Error()
}

// refuseEmpty refuses options that are given without a value, as by a variable
// of a shell that is not set.
func refuseEmpty(cmd *cobra.Command, _ []string) error {
	var err error
	cmd.Flags().Visit(func(flag *pflag.Flag) {
		if flag.Value.Type() == "string" && strings.TrimSpace(flag.Value.String()) == "" && err == nil {
			err = usageError("--%s: the value is empty\nsee: %s --help", flag.Name, cmd.CommandPath())
		}
	})
	return err
}
