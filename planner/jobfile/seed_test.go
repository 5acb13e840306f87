package jobfile_test

import _ "example.org/kerfwright/planner/internal/seeded"
