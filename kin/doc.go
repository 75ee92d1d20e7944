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
// # Inverse kinematics
//
// [Inverse] finds out from the axes of a chain which solution fits it; names play
// no part. Where three consecutive axes meet in a point or are parallel, the other
// three follow from two or three equations that don't contain them, and the rest
// is trigonometry: all solutions mod 2 pi, in closed form. Reading the chain
// backwards, or cutting the closed loop of arm and target elsewhere, brings all
// eight cases to two, axes 4, 5, 6 meeting and axes 2, 3, 4 parallel. Every other
// arm is solved by damped least squares, one solution at a time.
//
// The literature: D. L. Pieper, The Kinematics of Manipulators under Computer
// Control, 1968; B. Paden, Kinematics and Control of Robot Manipulators, 1986, after
// W. Kahan; M. Brandstötter, A. Angerer and M. Hofbaur, An analytical solution of
// the inverse kinematics problem of industrial serial manipulators with an
// ortho-parallel basis and a spherical wrist, 2014; A. Elias and J. Wen, IK-Geo, 2022;
// D. Ostermeier, J. Külz and M. Althoff, automatic geometric decomposition for
// analytical inverse kinematics, 2024.
//
// # Singularities
//
// An arm loses a direction where its Jacobian loses rank. [Inverse.Room] measures
// how far that is in the quantities that a person can see, the angle of the wrist
// and of the elbow and the distance of the wrist centre from axis 1, for arms whose
// determinant is their product; [Jacobian.Smallest] gives the smallest singular
// value and the lost direction for any arm. [Inverse.RoomRate] and
// [Chain.PointBounds] bound how fast the measures and all places of the arm can
// change, in any configuration, with the proofs beside them.
//
// All functions are deterministic. Values are safe to share between goroutines
// unless a method says that it writes.
package kin
