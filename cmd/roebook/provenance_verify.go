package main

import "roebook/io/certificate"

func (l *loaded) pin(_ *certificate.Facts) error { return nil }

func verifySheet(_ *source, _ *provenanceQuestion) error { return nil }
