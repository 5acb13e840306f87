package tui

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// framesOf says where each kind of view is seen: a golden frame at 80x24, by
// its path under testdata without the ending. Beside it lie those at 120x40 and
// in ASCII. A new view goes in here, with a
// frame that somebody has looked at.
var framesOf = map[string]string{
	"stockView": "TestFramesOfEveryStage/80x24/stock", "featuresView": "TestFramesOfEveryStage/80x24/features", "processView": "TestFramesOfEveryStage/80x24/process",
	"checksView": "TestFramesOfEveryStage/80x24/checks", "saveView": "TestFramesOfEveryStage/80x24/save",

	"layoutView": "TestFramesOfForms/80x24/layout",

	"chooserPage": "TestFramesOfEveryStage/80x24/files", "drawingPage": "TestFramesOfEveryStage/80x24/drawing", "featurePage": "TestFramesOfEveryStage/80x24/feature",
	"helpPage": "TestFramesOfEveryStage/80x24/why", "toldPage": "TestFramesOfEveryStage/80x24/told", "leavePage": "TestFramesOfEveryStage/80x24/leave",
	"listPage": "TestFramesOfEveryStage/80x24/machines", "pricesPage": "TestFramesOfEveryStage/80x24/prices", "resumePage": "TestFramesOfEveryStage/80x24/resume",

	"formPage": "TestFramesOfForms/80x24/corners", "facesPage": "TestFramesOfForms/80x24/faces", "holesPage": "TestFramesOfForms/80x24/holes",
	"bandPage": "TestFramesOfForms/80x24/band", "mendedPage": "TestFramesOfForms/80x24/mended", "pagesPage": "TestFramesOfForms/80x24/pages", "scalePage": "TestFramesOfForms/80x24/scale",

	"shopPage": "TestFramesOfTheShop/80x24/shop", "storePage": "TestFramesOfTheShop/80x24/store", "logPage": "TestFramesOfTheShop/80x24/log", "learnPage": "TestFramesOfTheShop/80x24/learn",
	"setsPage": "TestFramesOfTheShop/80x24/consumables", "couponsPage": "TestFramesOfTheShop/80x24/coupons", "presetsPage": "TestFramesOfTheShop/80x24/presets",
	"presetPage": "TestFramesOfTheShop/80x24/preset", "profilesPage": "TestFramesOfTheShop/80x24/profiles", "profilePage": "TestFramesOfTheShop/80x24/profile-typing", "offsetPage": "TestFramesOfTheShop/80x24/offset",

	"brokenPage": "TestFramesOfOpening/80x24/broken", "foundPage": "TestFramesOfOpening/80x24/found", "sincePage": "TestFramesOfOpening/80x24/since", "fixturePage": "TestFramesOfOpening/80x24/fixture",
}

// TestEveryViewHasAFrame: whatever has rows is a view, and each was looked at.
func TestEveryViewHasAFrame(t *testing.T) {
	files := token.NewFileSet()
	found := map[string]bool{}
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(files, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Name.Name == "list" && fn.Recv != nil {
				if id, ok := fn.Recv.List[0].Type.(*ast.Ident); ok {
					found[id.Name] = true
				}
			}
		}
	}
	for name := range found {
		frame, known := framesOf[name]
		if !known {
			t.Errorf("%s has no frame in framesOf: draw one, look at it and name it there", name)
			continue
		}
		for _, size := range []string{"/80x24/", "/120x40/", "/80x24-ascii/"} {
			if _, err := os.Stat(filepath.Join("testdata", strings.Replace(frame, "/80x24/", size, 1)+".golden")); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	for name := range framesOf {
		if !found[name] {
			t.Errorf("%s is no view any more", name)
		}
	}
}

// cutFigure reports whether an ellipsis stands where a figure goes on, or where
// its unit stood.
func cutFigure(l string) bool {
	at := strings.Index(l, "…")
	if at <= 0 {
		return false
	}
	before := strings.TrimRight(l[:at], " ")
	if before == "" {
		return false
	}
	word := before[strings.LastIndexByte(before, ' ')+1:]
	return strings.Trim(word, "+-0123456789.,") == "" || len(word) > 1 && strings.Trim(word[1:], "+-0123456789.,") == "" // 12.5, X12.5
}

// TestNoFigureIsCutOff reads all frames: what has no room gives way whole, and
// is told below. A figure that is cut is another figure.
func TestNoFigureIsCutOff(t *testing.T) {
	err := filepath.WalkDir("testdata", func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(path, ".golden") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for i, l := range strings.Split(string(text), "\n") {
			for _, part := range strings.Split(l, "│") {
				if cutFigure(part) {
					t.Errorf("%s:%d: %s", path, i+1, strings.TrimSpace(part))
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if !cutFigure("   takes 14 of 100…") || !cutFigure(" 5 …") || cutFigure("takes 100 mm  of …") {
		t.Error("the test sees no cut figure")
	}
}
