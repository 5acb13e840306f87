package presets_test

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"example.org/kerfwright/presets"
)

func TestOnlyRegularFilesWithinTheLimitAreRead(t *testing.T) {
	dir := t.TempDir()
	pipe, big := filepath.Join(dir, "pipe"), filepath.Join(dir, "big")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip("no pipes here: ", err)
	}
	if err := os.WriteFile(big, []byte("12345"), 0o600); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{dir: "is no file", pipe: "is no file", big: "holds 5 bytes", filepath.Join(dir, "none"): "no such file"} {
		if _, err := presets.ReadFile(path, 4); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", filepath.Base(path), err, want)
		}
	}
	if got, err := presets.ReadFile(big, 5); err != nil || string(got) != "12345" {
		t.Errorf("%q, %v", got, err)
	}
}
