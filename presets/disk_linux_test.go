package presets_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"example.org/kerfwright/presets"
)

// ownDisk tells the test binary, started again in a mount namespace of its
// own, to save on a disk that is full or read-only.
const ownDisk = "KERFWRIGHT_TEST_DISK"

func init() {
	if how := os.Getenv(ownDisk); how != "" {
		saveOnOwnDisk(how)
	}
}

// saveOnOwnDisk mounts a small disk, saves version 1, spoils the disk, tries
// to save version 2 and copies what is left to out.
func saveOnOwnDisk(how string) {
	dir, out, _ := strings.Cut(how[strings.Index(how, ":")+1:], ":")
	must := func(err error) {
		if err != nil {
			os.Stderr.WriteString("cannot try it: " + err.Error() + "\n")
			os.Exit(9)
		}
	}
	must(syscall.Mount("", "/", "", syscall.MS_REC|syscall.MS_PRIVATE, ""))
	must(syscall.Mount("none", dir, "tmpfs", 0, "size=96k"))
	must(saveVersion(presets.Folder(dir), 1))
	if strings.HasPrefix(how, "read-only:") {
		must(syscall.Mount("none", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))
	}
	err := saveVersion(presets.Folder(dir), 2)
	must(os.CopyFS(out, os.DirFS(dir)))
	if err != nil {
		os.Stderr.WriteString(err.Error() + "\n")
		os.Exit(exitFailed)
	}
	os.Exit(exitSaved)
}

// Two programs of 28 kB lie on a disk of 96 kB: a second pair does not fit.
func TestSaveOnAFullOrReadOnlyDiskLeavesTheLastGoodFiles(t *testing.T) {
	for how, want := range map[string]string{"full": "no space left", "read-only": "read-only file system"} {
		t.Run(how, func(t *testing.T) {
			dir, out := t.TempDir(), filepath.Join(t.TempDir(), "left")
			cmd := exec.Command(os.Args[0])
			cmd.Env = append(os.Environ(), ownDisk+"="+how+":"+dir+":"+out)
			cmd.SysProcAttr = &syscall.SysProcAttr{Unshareflags: syscall.CLONE_NEWNS}
			var said bytes.Buffer
			cmd.Stderr = &said
			if err := cmd.Run(); cmd.ProcessState == nil || cmd.ProcessState.ExitCode() == 9 {
				t.Skip("no disk of our own here: ", err, said.String())
			}
			if code := cmd.ProcessState.ExitCode(); code != exitFailed || !strings.Contains(said.String(), want) {
				t.Errorf("exit %d, %s", code, said.String())
			}
			if all, named := state(t, out); !allAre(all, 1) || named || tempsIn(t, out) > 0 {
				t.Errorf("files of versions %v are left, named %v, %d temporary files", all, named, tempsIn(t, out))
			}
		})
	}
}

// Another user of a shared PC, who may read the folder but not write in it.
func TestSaveInAFolderOfAnotherUserIsRefused(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("only root can act as another user")
	}
	dir := folderOf(t, 1)
	for p := dir; p != "/" && p != os.TempDir(); p = filepath.Dir(p) { // the way there, and the test binary
		if err := os.Chmod(p, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command(copyOfTest(t))
	cmd.Env = append(os.Environ(), onceFolder+"="+dir)
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	var said bytes.Buffer
	cmd.Stderr = &said
	cmd.Run()
	if code := cmd.ProcessState.ExitCode(); code != exitFailed || !strings.Contains(said.String(), "permission denied") {
		t.Errorf("exit %d, %s", code, said.String())
	}
	if all, named := state(t, dir); !allAre(all, 1) || named || tempsIn(t, dir) > 0 {
		t.Errorf("files of versions %v, named %v, %d temporary files", all, named, tempsIn(t, dir))
	}
}

// copyOfTest puts the test binary where every user may start it.
func copyOfTest(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile(os.Args[0])
	if err != nil {
		t.Fatal(err)
	}
	dir, err := os.MkdirTemp("", "kerfwright-test")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	name := filepath.Join(dir, "t")
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, data, 0o755); err != nil {
		t.Fatal(err)
	}
	return name
}
