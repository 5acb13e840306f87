package job

// Kept is a copy of the bytes of a drawing that the job was made with, so
// that the job opens where the drawing is not at hand. A drawing's copy is the
// one with its SHA256.
type Kept struct {
	Name   string // the drawing's file as the job named it when it was kept, for people
	SHA256 string // of the bytes, hex
	Text   string // the bytes deflated (RFC 1951), in base64 (RFC 4648 4) without line ends
}
