package gcode_test

import _ "example.org/kerfwright/planner/internal/seeded"
