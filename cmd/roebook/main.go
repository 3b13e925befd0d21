// Roebook keeps the pedigree and the lines of a careful aquarium-fish keeper:
// the records are plain text in a folder, and the program says what follows
// from them.
package main

import "os"

func main() {
	os.Exit(Main())
}
