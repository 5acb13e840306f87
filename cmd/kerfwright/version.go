package main

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
)

// stamp is set by the linker: -ldflags "-X main.stamp=1.2.3".
var stamp = ""

func showVersion(w world, f flags) error {
	if len(f.rest) > 0 {
		return usagef("version takes no operand")
	}
	_, err := fmt.Fprintln(w.out, "kerfwright "+version())
	return err
}

// version is what a report of a fault must name: release, revision, compiler,
// system.
func version() string {
	release, revision := stamp, ""
	info, ok := debug.ReadBuildInfo()
	if ok {
		if v := info.Main.Version; release == "" && v != "" && v != "(devel)" {
			release = v
		}
		revision = revisionOf(info.Settings)
	}
	if release == "" {
		release = "unreleased"
	}
	return fmt.Sprintf("%s, %s, %s %s/%s", release, revision, runtime.Version(), runtime.GOOS, runtime.GOARCH)
}

// revisionOf names the commit that was built, as the Go tool noted it.
func revisionOf(settings []debug.BuildSetting) string {
	at := map[string]string{}
	for _, s := range settings {
		at[s.Key] = s.Value
	}
	rev := at["vcs.revision"]
	if rev == "" {
		return "revision unknown"
	}
	text := "revision " + rev[:min(12, len(rev))]
	if day, _, ok := strings.Cut(at["vcs.time"], "T"); ok {
		text += " of " + day
	}
	if at["vcs.modified"] == "true" {
		text += " with changes"
	}
	return text
}
