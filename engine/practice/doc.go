// Package practice is the simulated controller of the bench: it moves the arm
// of a cell by hand and runs a program step by step, with the devices that
// protect a person beside a real arm.
//
// A [Controller] is a state machine without a clock. A caller tells it what the
// person does ([Controller.Grip], [Controller.Hold], [Controller.Stop] and so
// on) and how much time passes ([Controller.Advance]); it says where everything
// is ([Controller.Read]). Time passes in steps of a fixed length, so that it
// does not matter in how many pieces it is told. It draws nothing, reads and
// writes no files, and judges no program: package grader does.
//
// # Devices and modes
//
// The words are those of ISO 10218-1 and IEC 60204-1. In manual mode the arm
// moves only while the enabling device is held in its middle position and a
// hold-to-run control is held besides. Letting go of either, or squeezing the
// device past its middle, stops the arm; after a squeeze the device does nothing
// until it has been released. No point of the arm, of its tool or of a part in
// it is moved faster than the chosen speed, at most [MaxManual] (ISO 10218-1
// asks it of the tool centre point and the mounting flange).
//
// Automatic mode is barred until every step of the program has been run singly
// to its end in manual mode, the gate is closed and every stop is reset. It
// needs neither device. Leaving it, or opening the gate, stops the arm.
//
// Stops are simple models of the stop categories of IEC 60204-1: category 2 (a
// hold-to-run control let go, the stop key) and 1 (the enabling device let go,
// the gate opened) slow down along the path, after category 1 the drives are off;
// category 0 (the emergency stop, the device squeezed) takes the drives off at
// once, every axis brakes by itself, and the arm may leave its path.
//
// Units and frames are those of package kin: mm, rad, s; poses in the world
// frame of the cell. A Controller must not be used by two goroutines at once.
package practice
