package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"example.org/kerfwright/presets"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"kerfwright": main})
}

// The scripts run the real program. Each finds the demo's files in its folder.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_CONFIG_HOME", filepath.Join(e.WorkDir, "config"))
			e.Setenv("XDG_STATE_HOME", filepath.Join(e.WorkDir, "state"))
			e.Setenv("LC_ALL", "C")
			job, drawings := presets.Demo()
			if err := os.WriteFile(filepath.Join(e.WorkDir, presets.DemoJob), job, 0o666); err != nil {
				return err
			}
			for name, data := range drawings {
				if err := os.WriteFile(filepath.Join(e.WorkDir, name), data, 0o666); err != nil {
					return err
				}
			}
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"edit":  edit,
			"json":  jsonHas,
			"plain": plainOutput,
		},
	})
}

// edit FILE OLD NEW replaces the first OLD in a file by NEW; OLD must be there.
func edit(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: edit FILE OLD NEW")
	}
	name := ts.MkAbs(args[0])
	text, err := os.ReadFile(name)
	ts.Check(err)
	unescape := strings.NewReplacer(`\n`, "\n", `\e`, "\x1b").Replace
	old, now := unescape(args[1]), unescape(args[2])
	if !strings.Contains(string(text), old) {
		ts.Fatalf("%s does not hold %q", args[0], old)
	}
	ts.Check(os.WriteFile(name, []byte(strings.Replace(string(text), old, now, 1)), 0o666))
}

// json KEY [VALUE] finds a key of the object on standard output.
func jsonHas(ts *testscript.TestScript, neg bool, args []string) {
	var v map[string]any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile("stdout")), &v))
	got, ok := v[args[0]]
	if ok && len(args) > 1 {
		b, err := json.Marshal(got)
		ts.Check(err)
		ok = string(b) == args[1]
	}
	if ok == neg {
		ts.Fatalf("json %v: have %v", args, got)
	}
}

// plain fails if standard output holds an escape sequence.
func plainOutput(ts *testscript.TestScript, neg bool, args []string) {
	for _, f := range []string{"stdout", "stderr"} {
		if strings.ContainsAny(ts.ReadFile(f), "\x1b\u009b\a") {
			ts.Fatalf("%s holds control characters", f)
		}
	}
}
