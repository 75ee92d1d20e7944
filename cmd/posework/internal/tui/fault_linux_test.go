package tui

import (
	"os"
	"strings"
	"syscall"
	"testing"
)

// On a full disk the bench keeps what was taught, says that it is not saved and
// why, and saves it when there is room again.
func TestTeachOnAFullDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=16k"); err != nil {
		t.Skipf("NOT TESTED ON A REAL FULL DISK: mounting is not allowed: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	b := atBench(t, liftProgram)
	t.Chdir(dir)
	if err := os.WriteFile("lift.yaml", []byte(liftProgram), 0o644); err != nil {
		t.Fatal(err)
	}
	for err := error(nil); err == nil; {
		var film *os.File
		if film, err = os.OpenFile("film", os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644); err == nil {
			_, err = film.Write(make([]byte, 4096))
			film.Close()
		}
	}
	b.keys("r", "ctrl+u", "new-pose", "enter")
	b.shows("save the program: no space left on device", "NOT SAVED")
	if b.fileText() != liftProgram {
		t.Errorf("the file:\n%s", b.fileText())
	}
	if err := os.Remove("film"); err != nil {
		t.Fatal(err)
	}
	b.keys("r", "ctrl+u", "another", "enter")
	b.shows("saved")
	b.hides("NOT SAVED")
	for _, pose := range []string{"new-pose", "another"} {
		if !strings.Contains(b.fileText(), "  "+pose+": {xyz: [") {
			t.Errorf("%s is lost:\n%s", pose, b.fileText())
		}
	}
}
