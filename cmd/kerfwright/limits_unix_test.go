//go:build unix

package main

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/presets"
)

// sizeRun is one run of the real program on something very large.
type sizeRun struct {
	name    string
	draw    func(w *bufio.Writer) // DXF entities
	command string                // "inspect" reads and joins, "plan" goes all the way
	width   float64               // mm, of the plate
	height  float64
	seconds float64 // of the processor, at most
	mb      float64 // of memory, at most
	cuts    int     // in the program
	says    string  // in what it prints; a limit, where it is refused
	refused bool
}

// The sizes that DEVELOPERS.md states, served or refused with their limit
// named. The processor's time and the memory are what the system accounts to
// the process; the bounds are two to three times what was
// measured (on a machine with two cores that had other work).
func TestVeryLargeJobsAreServedOrRefusedByName(t *testing.T) {
	if os.Getenv("KERFWRIGHT_LONG") == "" {
		t.Skip("takes minutes and gigabytes: KERFWRIGHT_LONG=1 runs it")
	}
	for _, r := range sizeRuns {
		t.Run(r.name, func(t *testing.T) {
			dir := t.TempDir()
			f, err := os.Create(filepath.Join(dir, "large.dxf"))
			if err != nil {
				t.Fatal(err)
			}
			w := bufio.NewWriter(f)
			fmt.Fprint(w, "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
			r.draw(w)
			fmt.Fprint(w, "0\nENDSEC\n0\nEOF\n")
			w.Flush()
			size, _ := f.Seek(0, 1)
			f.Close()
			if err := os.WriteFile(filepath.Join(dir, "large.toml"), largeJob(t, r), 0o666); err != nil {
				t.Fatal(err)
			}
			args := map[string][]string{"inspect": {"inspect", "large.dxf"}, "plan": {"plan", "--json", "large.toml"}}[r.command]
			cmd := exec.Command("kerfwright", args...)
			cmd.Dir = dir
			cmd.Env = append(os.Environ(), "LC_ALL=C", "XDG_CONFIG_HOME="+dir, "XDG_STATE_HOME="+dir)
			begun := time.Now()
			out, err := cmd.CombinedOutput()
			wall := time.Since(begun).Seconds()
			u := cmd.ProcessState.SysUsage().(*syscall.Rusage)
			cpu := cmd.ProcessState.UserTime().Seconds() + cmd.ProcessState.SystemTime().Seconds()
			mb := float64(u.Maxrss) / 1024
			if runtime.GOOS == "darwin" {
				mb /= 1024
			}
			t.Logf("%d MB of drawing: %.1f s, %.1f s of the processor, %.0f MB", size>>20, wall, cpu, mb)
			if refused := err != nil; refused != r.refused || !strings.Contains(string(out), r.says) {
				t.Errorf("refused: %v (%v), wanted %v with %q:\n%.2000s", refused, err, r.refused, r.says, out)
			}
			if r.cuts > 0 {
				text, _ := os.ReadFile(filepath.Join(dir, "large.nc"))
				if n := strings.Count(string(text), "\nM3\n"); n != r.cuts || !strings.Contains(string(text), "\nM2\n") && !strings.Contains(string(text), "\nM30\n") {
					t.Errorf("%d cuts in the program, want %d\n%.2000s", n, r.cuts, out)
				}
			}
			if cpu > r.seconds || mb > r.mb {
				t.Errorf("%.1f s of the processor, %.0f MB; stated are %.0f s and %.0f MB", cpu, mb, r.seconds, r.mb)
			}
		})
	}
}

func largeJob(t *testing.T, r sizeRun) []byte {
	t.Helper()
	text, _ := presets.Demo()
	j, faults := jobfile.Decode("demo", text)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	j.Name = plain.Of("large")
	j.Drawings = []job.Drawing{{File: "large.dxf", Quantity: 1}}
	j.Overrides, j.Layout.Places = nil, nil
	j.Stock.Width, j.Stock.Height, j.Stock.Zero = r.width, r.height, job.LowerLeft
	j.Machine.TravelX, j.Machine.TravelY = r.width+100, r.height+100
	j.Rules.SearchKicks = 1
	text, faults = jobfile.Encode(j)
	if faults.At(fault.Error) != nil {
		t.Fatal(faults.Err())
	}
	return text
}

// wheel draws a ring of n lines round (x, y).
func wheel(w *bufio.Writer, x, y, r float64, n int) {
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		u, v := math.Sincos(2 * math.Pi * float64(i+1) / float64(n))
		fmt.Fprintf(w, "0\nLINE\n8\nCUT\n10\n%.6f\n20\n%.6f\n11\n%.6f\n21\n%.6f\n", x+r*c, y+r*s, x+r*v, y+r*u)
	}
}

// square draws one as a closed polyline.
func square(w *bufio.Writer, x, y, a float64) {
	fmt.Fprintf(w, "0\nLWPOLYLINE\n8\nCUT\n90\n4\n70\n1\n10\n%g\n20\n%g\n10\n%g\n20\n%g\n10\n%g\n20\n%g\n10\n%g\n20\n%g\n", x, y, x+a, y, x+a, y+a, x, y+a)
}

func circle(w *bufio.Writer, x, y, r float64) {
	fmt.Fprintf(w, "0\nCIRCLE\n8\nCUT\n10\n%g\n20\n%g\n40\n%g\n", x, y, r)
}

// wheels draws n of them in rows.
func wheels(n, lines int, w *bufio.Writer) {
	for i := range n {
		wheel(w, 100+200*float64(i%50), 100+200*float64(i/50), 80, lines)
	}
}

var sizeRuns = []sizeRun{
	{name: "1,000,000 entities read and joined", command: "inspect", draw: func(w *bufio.Writer) { wheels(1000, 1000, w) },
		width: 1000, height: 1000, seconds: 5, mb: 700, says: "1000 "},
	{name: "1,000,000 entities planned", command: "plan", draw: func(w *bufio.Writer) { wheels(1000, 1000, w) },
		width: 10100, height: 4100, seconds: 6, mb: 900, cuts: 1000},
	{name: "100 MB file", command: "inspect", draw: func(w *bufio.Writer) {
		for i := range 1000 { // much of it says nothing, as much of a CAD file does
			wheel(w, 100+200*float64(i%50), 100+200*float64(i/50), 80, 100)
			for range 2000 {
				fmt.Fprintln(w, "999\na remark of forty letters about nothing at all")
			}
		}
	}, width: 1000, height: 1000, seconds: 3, mb: 400, says: "1000 "},
	{name: "20,000 contours", command: "plan", draw: func(w *bufio.Writer) {
		for i := range 1000 {
			x, y := 10+225*float64(i%40), 10+175*float64(i/40)
			fmt.Fprintf(w, "0\nLWPOLYLINE\n8\nCUT\n90\n4\n70\n1\n10\n%g\n20\n%g\n10\n%g\n20\n%g\n10\n%g\n20\n%g\n10\n%g\n20\n%g\n", x, y, x+200, y, x+200, y+150, x, y+150)
			for k := range 19 {
				circle(w, x+20+float64(k%7)*26, y+25+float64(k/7)*45, 8+float64(k%3))
			}
		}
	}, width: 9100, height: 4500, seconds: 20, mb: 1100, cuts: 20000},
	{name: "10,000 parts", command: "plan", draw: func(w *bufio.Writer) {
		for i := range 10000 {
			square(w, 10+75*float64(i%140), 10+75*float64(i/140), 60)
		}
	}, width: 10600, height: 5500, seconds: 13, mb: 800, cuts: 10000},
	{name: "513 MB file", command: "inspect", draw: func(w *bufio.Writer) {
		line := "999\n" + strings.Repeat("x", 1020) + "\n"
		for range 513 << 10 {
			w.WriteString(line)
		}
	}, width: 1000, height: 1000, seconds: 5, mb: 200, says: "at most 536870912 are read", refused: true},
}
