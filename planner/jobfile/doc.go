// Package jobfile turns a job into a TOML text and back. A text comes in and
// a job with every fault of the text goes out, each with its line and column;
// or a job comes in and a text goes out that reads back as exactly that job.
// It opens no file, computes nothing of the job, and fills in nothing that
// the text does not say.
//
// One description of the keys (shape.go) serves both ways, so that reader and
// writer cannot drift apart. The TOML library checks the syntax; where.go
// knows the places, which the library does not.
package jobfile
