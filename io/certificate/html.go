package certificate

import "roebook/io/chart"

func writeHTML(_ *Facts, d *chart.Drawing) ([]byte, error) { return d.SVG(), nil }
func Sign(file []byte, _ string) ([]byte, error)           { return file, nil }
func KeyFingerprint(_ string) (string, error)              { return "", nil }
