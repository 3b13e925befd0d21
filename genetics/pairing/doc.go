// Package pairing ranks which fish to put together.
package pairing
