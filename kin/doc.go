// Package kin is the pure mathematics of serial arms: poses, chains of axes,
// forward and inverse kinematics, the Jacobian and singularity measures.
//
// It reads no files, knows no clock, logs nothing and draws no random numbers.
// It does not know about axis limits, tools or cells: limits live in
// [posework/kin/arm], everything else above.
//
// # Units and frames
//
// Lengths are millimetres, angles radians, times seconds. Frames are
// right-handed (ISO 9787). Degrees and metres exist only where people or other
// formats read and write.
//
// A pose variable names both of its frames, the destination first, so that a
// product can be checked by eye: in
//
//	worldTool := worldBase.Mul(&baseFlange).Mul(&flangeTool)
//
// neighbouring names cancel. worldTool maps coordinates written in the tool
// frame to coordinates written in the world frame. A point ends in the name of
// its frame: cornerWorld.
//
// Roll, pitch and yaw are rotations about the fixed x, then y, then z axis.
//
// All functions are deterministic. Values are safe to share between goroutines
// unless a method says that it writes.
package kin
