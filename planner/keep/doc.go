// Package keep puts a copy of the drawings into their job, so that the job
// opens on another PC with no other file. It packs bytes into text and back,
// decides whether a drawing is read from its file or from the copy, and says
// so. It opens nothing: files are handed in.
//
// The job is cut from the drawing that it was made with: the file, while its
// SHA-256 is the one in the job; else the copy, and it is told that the file
// is missing or has changed. Only where there is no copy does a changed file
// count, as before there were copies.
package keep
