package job

import "fmt"

// Files names the two programs of a save by its stem: NAME.nc and NAME-dry.nc,
// with the ending that the profile asks for.
func (p Program) Files(stem string) (program, dry string) {
	ext := p.Extension
	if ext == "" {
		ext = "nc"
	}
	return stem + "." + ext, stem + "-dry." + ext
}

// PlateStem is the stem of the programs of plate n, from 1: the first plate
// has the job's own.
func PlateStem(stem string, n int) string {
	if n <= 1 {
		return stem
	}
	return fmt.Sprintf("%s-plate%d", stem, n)
}

// FileSum is one file that was saved together with the job, and the SHA-256
// of its bytes. A file beside the job with another sum belongs to another
// save, or was changed since.
type FileSum struct {
	Name   string // base name, in the job's own folder
	SHA256 string // 64 hexadecimal digits, lower case
}
