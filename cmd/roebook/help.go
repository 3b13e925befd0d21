package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// newHelp is `roebook help [COMMAND]`.
func newHelp(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "what a command is for, with worked examples",
		RunE: func(_ *cobra.Command, args []string) error {
			cmd, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return noCommand(root, strings.Join(args, " "))
			}
			return cmd.Help()
		},
	}
}

// help prints what a command is for, how it is called, its options, and last
// the examples.
func help(env *environment) func(*cobra.Command, []string) {
	return func(cmd *cobra.Command, _ []string) {
		out := new(bytes.Buffer)
		width := min(env.width, textWidth)
		text := cmd.Long
		if text == "" {
			text = cmd.Short
		}
		for _, paragraph := range strings.Split(text, "\n\n") {
			fmt.Fprintf(out, "%s\n\n", strings.Join(wrap(paragraph, width), "\n"))
		}
		fmt.Fprintf(out, "    %s\n", strings.ReplaceAll(cmd.UseLine(), "[flags]", "[options]"))
		listCommands(out, cmd, width)
		listOptions(out, cmd, width)
		if cmd.Example != "" {
			fmt.Fprintf(out, "\nFor example:\n%s\n", cmd.Example)
		}
		_ = env.print(out)
	}
}

func listCommands(out *bytes.Buffer, cmd *cobra.Command, width int) {
	if !cmd.HasAvailableSubCommands() {
		return
	}
	groups := cmd.Groups()
	if len(groups) == 0 {
		groups = []*cobra.Group{{Title: "Commands:"}}
	}
	for _, group := range groups {
		fmt.Fprintf(out, "\n%s\n", group.Title)
		for _, sub := range cmd.Commands() {
			if sub.IsAvailableCommand() && sub.GroupID == group.ID {
				listed(out, sub.Name(), 11, sub.Short, width)
			}
		}
	}
	fmt.Fprintf(out, "\nEvery command has its own --help.\n")
}

// listed writes a name and beside it what it means, wrapped.
func listed(out *bytes.Buffer, name string, room int, meaning string, width int) {
	for i, line := range wrap(meaning, width-room-4) {
		if i > 0 {
			name = ""
		}
		fmt.Fprintf(out, "  %-*s  %s\n", room, name, line)
	}
}

func listOptions(out *bytes.Buffer, cmd *cobra.Command, width int) {
	var names, meanings []string
	widest := 0
	cmd.Flags().VisitAll(func(flag *pflag.Flag) {
		if flag.Hidden || flag.Name == "help" {
			return
		}
		value, meaning := pflag.UnquoteUsage(flag)
		name := "--" + flag.Name
		if flag.Shorthand != "" {
			name = "-" + flag.Shorthand + ", " + name
		}
		if value != "" {
			name += " " + value
		}
		if preset := flag.DefValue; preset != "" && preset != "false" && preset != "[]" {
			meaning += " (otherwise " + preset + ")"
		}
		names, meanings = append(names, name), append(meanings, meaning)
		widest = max(widest, len(name))
	})
	if len(names) == 0 {
		return
	}
	fmt.Fprintf(out, "\nOptions:\n")
	for i, name := range names {
		listed(out, name, widest, meanings[i], width)
	}
}
