// Package testdata gives the tables of published figures to what prints them, so that the tests and the printed page read the
// same files. Each row of a table names its source.
package testdata

import "embed"

// Tables holds the tables of the folders device, circuit, harness, meter and scenarios, the circuits that ngspice was run on with its
// answers, and its answers about devices in motion and about a whole harness.
//
//go:embed device/*.csv circuit/*.yaml meter/*.csv harness/*.csv scenarios/*.csv harness/ngspice/*.csv circuit/ngspice/*.cir circuit/ngspice/*.csv device/ngspice/*.txt
var Tables embed.FS
