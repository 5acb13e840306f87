package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"
)

// tests are what looks for a fault.
type tests struct {
	dir, run, skip string
	patience       time.Duration
	bin            string
	more           []string // flags that these tests know
}

// look runs the tests once for each wanted fault and tells those that they do
// not see.
func (t tests) look(c code, wanted []fault, jobs int) error {
	tmp, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	if err := t.build(c, tmp); err != nil {
		return err
	}
	// A case that was drawn under a fault says nothing of the code: keep none.
	if t.more = []string{"-rapid.nofailfile", "-test.list=^$"}; t.try("") != nil {
		t.more = nil // these tests draw none
	} else {
		t.more = t.more[:1]
	}
	reached := filepath.Join(tmp, "reached")
	start := time.Now()
	if err := t.try("MUTATE_REACHED=" + reached); err != nil {
		return fmt.Errorf("without a fault the tests fail: %w", err)
	}
	took := time.Since(start)
	hit := map[int]bool{}
	text, _ := os.ReadFile(reached)
	for _, w := range strings.Fields(string(text)) {
		k, _ := strconv.Atoi(w)
		hit[k] = true
	}
	fmt.Fprintf(os.Stderr, "%d faults, %d reached, a run takes %.1f s\n", len(wanted), len(hit), took.Seconds())
	seen := 0
	var mu sync.Mutex
	var wg sync.WaitGroup
	next := make(chan fault)
	for range jobs {
		wg.Go(func() {
			for f := range next {
				why := "not reached"
				if hit[f.id] {
					why = "not seen"
					if t.try("MUTATE="+strconv.Itoa(f.id)) != nil {
						why = ""
					}
				}
				mu.Lock()
				if why == "" {
					seen++
				} else {
					fmt.Printf("%s, line %d: %s\n", why, f.line, f.name)
				}
				mu.Unlock()
			}
		})
	}
	for _, f := range wanted {
		next <- f
	}
	close(next)
	wg.Wait()
	fmt.Fprintf(os.Stderr, "%d of %d seen\n", seen, len(wanted))
	return nil
}

// build compiles the tests with all faults of the code, none of them awake.
func (t *tests) build(c code, tmp string) error {
	c.texts["mutate_faults.go"] = strings.Replace(helpers, "PACKAGE", c.pkg, 1)
	replace := map[string]string{}
	for name, text := range c.texts {
		abs, err := filepath.Abs(filepath.Join(c.dir, name))
		if err != nil {
			return err
		}
		replace[abs] = filepath.Join(tmp, name)
		if err := os.WriteFile(replace[abs], []byte(text), 0o600); err != nil {
			return err
		}
	}
	list, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return err
	}
	overlay := filepath.Join(tmp, "overlay.json")
	if err := os.WriteFile(overlay, list, 0o600); err != nil {
		return err
	}
	if t.dir == "" {
		t.dir = c.dir
	}
	t.bin = filepath.Join(tmp, "tests")
	compile := exec.Command("go", "test", "-c", "-vet=off", "-overlay", overlay, "-o", t.bin, "./"+filepath.Clean(t.dir))
	if out, err := compile.CombinedOutput(); err != nil {
		return fmt.Errorf("build: %w\n%s", err, out)
	}
	return nil
}

// try runs the tests with an environment variable more.
func (t tests) try(env string) error {
	ctx, cancel := context.WithTimeout(context.Background(), t.patience)
	defer cancel()
	args := append([]string{"-test.failfast"}, t.more...)
	if t.run != "" {
		args = append(args, "-test.run", t.run)
	}
	if t.skip != "" {
		args = append(args, "-test.skip", t.skip)
	}
	c := exec.CommandContext(ctx, t.bin, args...)
	c.Dir, c.Env = t.dir, append(os.Environ(), env)
	out, err := c.CombinedOutput()
	if err != nil {
		return fmt.Errorf("%w\n%s", err, out)
	}
	return nil
}
