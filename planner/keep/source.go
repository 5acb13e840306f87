package keep

import (
	"errors"
	"io/fs"
	"path"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// CodeChanged is that of the fault that says that a file is not as it was when
// the job was saved.
const CodeChanged = "drawing-changed"

// Files hands out the bytes of a drawing's file by the name that the job uses.
type Files interface {
	Drawing(name string) ([]byte, error)
}

// Source hands the planner the drawings of one job: files or copies. It is not
// for several goroutines at once.
type Source struct {
	// Anew takes every file that opens as it is, changed or not.
	Anew bool

	job   job.Job
	files Files
	read  map[string]Read
	told  fault.List
}

// Read is what was handed out for a name.
type Read struct {
	Sum  string // SHA-256, hex
	Data []byte // nil where the drawing is too large to be kept
	From From
}

// From says where a drawing's bytes came from.
type From int

const (
	File    From = iota // from the file, as the job was saved with, or as it is now for a job that was not
	Other               // from the file, which has changed since; there is no copy
	Missing             // from the copy: the file does not open
	Changed             // from the copy: the file has changed since
)

// In returns the drawings of a job.
func In(j job.Job, files Files) *Source {
	return &Source{job: j, files: files, read: map[string]Read{}}
}

// Now is a source of the same drawings that takes every file as it is now.
func (s *Source) Now() *Source {
	now := In(s.job, s.files)
	now.Anew = true
	return now
}

// AsSaved is a source of the same drawings that takes the copies of those that
// have changed.
func (s *Source) AsSaved() *Source { return In(s.job, s.files) }

// Moved reports whether a file that has changed since the job was saved was
// handed out as it is now, or lies there while the copy was handed out: then
// there are two states to compare.
func (s *Source) Moved() bool {
	for name, r := range s.read {
		d := s.drawing(name)
		if _, kept := Of(s.job, d); kept && (r.From == Changed || r.From == File && d.SHA256 != "" && r.Sum != d.SHA256) {
			return true
		}
	}
	return false
}

// Of returns the copy of a drawing.
func Of(j job.Job, d job.Drawing) (job.Kept, bool) {
	if d.SHA256 != "" {
		for _, k := range j.Kept {
			if k.SHA256 == d.SHA256 {
				return k, true
			}
		}
	}
	return job.Kept{}, false
}

// drawing returns what the job says of a file: of its drawings of that name
// the first with a sum.
func (s *Source) drawing(name string) job.Drawing {
	for _, d := range s.job.Drawings {
		if d.File == name && d.SHA256 != "" {
			return d
		}
	}
	return job.Drawing{File: name}
}

// Drawing returns the bytes that the job is made of.
func (s *Source) Drawing(name string) ([]byte, error) {
	d := s.drawing(name)
	data, err := s.files.Drawing(name)
	sum := ""
	if err == nil {
		sum = Sum(data)
		if s.Anew || d.SHA256 == "" || sum == d.SHA256 {
			return s.use(name, sum, data, File), nil
		}
	}
	at := fault.Where{File: name}
	k, kept := Of(s.job, d)
	if kept {
		copied, bad := Unpack(k)
		if bad == nil {
			return s.use(name, d.SHA256, copied, s.tell(at, err)), nil
		}
		s.told.Warnf(at, "kept-damaged", "Put the drawing back as it was when the job was saved, or choose it anew.", "the copy of the drawing in the job %v", bad)
	}
	if err != nil {
		return nil, err
	}
	s.told.Warnf(at, CodeChanged, "Look at every feature again before cutting.", "the drawing has changed since the job was saved")
	return s.use(name, sum, data, Other), nil
}

// tell says why the copy is used; err is that of the file.
func (s *Source) tell(at fault.Where, err error) From {
	switch {
	case err == nil:
		s.told.Warnf(at, CodeChanged, "Take the file as it is now if that is what you want to cut: plan --take-changed, or the drawing's page in the wizard.",
			"the drawing has changed since the job was saved: the copy kept in the job is used")
		return Changed
	case errors.Is(err, fs.ErrNotExist):
		s.told.Add(fault.Fault{Severity: fault.Note, Where: at, Code: "drawing-kept", What: "the drawing is not there: the copy kept in the job is used"})
	default:
		s.told.Warnf(at, "drawing-kept", "", "the drawing does not open: %s: the copy kept in the job is used", plain.Clean(err.Error()))
	}
	return Missing
}

func (s *Source) use(name, sum string, data []byte, from From) []byte {
	r := Read{Sum: sum, Data: data, From: from}
	if len(data) > MaxFile {
		r.Data = nil
	}
	s.read[name] = r
	return data
}

// Read returns what was handed out for a name.
func (s *Source) Read(name string) (Read, bool) {
	r, ok := s.read[name]
	return r, ok
}

// Told says which drawings were not read from their files, or have changed.
func (s *Source) Told() fault.List { return s.told }

// Stamp returns the job with the sums and the copies of the drawings that were
// handed out.
func (s *Source) Stamp(j job.Job) (job.Job, fault.List) {
	return Stamp(j, func(i int) (Read, bool) { return s.Read(j.Drawings[i].File) })
}

// Stamp returns the job with the sums and the copies of what its drawings were
// read from; one that was not read keeps what the job says of it. A drawing
// that cannot be kept is a Warning.
func Stamp(j job.Job, read func(drawing int) (Read, bool)) (job.Job, fault.List) {
	var faults fault.List
	was := j.Kept
	j.Drawings = append([]job.Drawing(nil), j.Drawings...)
	j.Kept = nil
	room := MaxText
	for i := range j.Drawings {
		d := &j.Drawings[i]
		if d.Shape != nil || d.File == "" {
			continue
		}
		r, ok := read(i)
		if ok {
			d.SHA256 = r.Sum
		}
		if _, have := Of(j, *d); have || d.SHA256 == "" {
			continue
		}
		k, err := copyOf(job.Job{Kept: was}, *d, r)
		if err == nil && len(k.Text) > room {
			err = errors.New("the copies of the drawings before it leave no room: a job keeps at most " + megabytes(MaxText) + " of text")
		}
		if err != nil {
			faults.Warnf(fault.Where{File: d.File}, "drawing-not-kept", "Let the drawing go along with the job.", "no copy of the drawing is kept in the job: %v", err)
			continue
		}
		if k.Text != "" {
			room -= len(k.Text)
			j.Kept = append(j.Kept, k)
		}
	}
	return j, faults
}

// copyOf returns the copy that the job has, if it is a good one, so that its
// text stays the same; else a new one.
func copyOf(was job.Job, d job.Drawing, r Read) (job.Kept, error) {
	if k, ok := Of(was, d); ok {
		if _, err := Unpack(k); err == nil || r.Sum != d.SHA256 {
			return k, nil
		}
	}
	switch {
	case r.Sum != d.SHA256: // it was not read
		return job.Kept{}, nil
	case r.Data == nil:
		return job.Kept{}, errors.New("it is over " + megabytes(MaxFile) + " long")
	}
	return Pack(path.Base(d.File), r.Data)
}
