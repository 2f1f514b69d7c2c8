// Package scenarios reads harnesses and exercises from YAML files that a person writes by hand, checks them, and proves by
// simulation that they work: a healthy harness passes its own normal-operation check, and every fault that an exercise
// names shows in it.
//
// One table (see forms) says which keys a file may have, what each takes and what it is for. The loader, the JSON Schema
// for editors and the written guide are all made from it, so that they cannot disagree.
package scenarios
