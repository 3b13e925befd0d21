package certificate

func Sign(file []byte, _ string) ([]byte, error) { return file, nil }
func KeyFingerprint(_ string) (string, error)    { return "", nil }
