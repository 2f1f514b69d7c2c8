// Package testdata gives the tables of published figures to what prints them, so that the tests and the printed page read the
// same files. Each row of a table names its source.
package testdata

import "embed"

// Tables holds the folders device, circuit, harness and meter with their tables, the circuits that ngspice was run on with its answers,
// and its answers about devices in motion.
//
//go:embed device/*.csv circuit/*.yaml meter/*.csv harness/*.csv circuit/ngspice/*.cir circuit/ngspice/*.csv device/ngspice/*.txt
var Tables embed.FS
