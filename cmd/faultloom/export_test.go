package main

// Run is run.
var Run = run

// Main is main.
var Main = main
